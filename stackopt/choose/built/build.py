"""The record of one build: what was read, chosen and proven, what was fitted, and what was measured then."""

from __future__ import annotations

from msgspec import Struct

from stackopt.choose.choice_records import FittedEngine, PassResult, Status
from stackopt.engine.engine_records import Engine
from stackopt.parts.part_records import Part


class Chosen(Struct, frozen=True):
    """What was chosen for one engine: the readings it came from, the parts as they were described then, the proof.

    `branch` is where it is built, empty for the shop's main branch.
    """

    engine: Engine
    fitted: FittedEngine
    parts: tuple[Part, ...]
    status: Status
    passes: tuple[PassResult, ...]
    branch: str = ""


class TakenPart(Struct, frozen=True):
    """Pieces of one part that went into an engine; less than 0 for what came back. `at` is the time in UTC."""

    part: str
    quantity: int
    who: str
    at: str


class MeasuredQuench(Struct, frozen=True):
    """The quench of one cylinder as built.

    Parameters
    ----------
    cylinder
        The cylinder's name.
    places_mm
        What was read at several places of the band, mm.
    predicted_mm
        What the choice had said, mm.
    expected_mm, deviation_mm
        What was to be expected by all that had been measured before, and its standard deviation, mm.
    learned
        False where the difference was so great that it is a mistake to look for, not a fact about the parts.
    who, at
        Who measured, and the time in UTC.
    taken_back
        Who took it back after the record was closed, and when, in words; empty where it stands.
    """

    cylinder: str
    places_mm: tuple[float, ...]
    predicted_mm: float
    expected_mm: float
    deviation_mm: float
    learned: bool
    who: str
    at: str
    taken_back: str = ""

    @property
    def measured_mm(self) -> float:
        """The mean over the places, mm."""
        return sum(self.places_mm) / len(self.places_mm)

    @property
    def difference_mm(self) -> float:
        """Measured less predicted, mm."""
        return self.measured_mm - self.predicted_mm


class Build(Struct, frozen=True):
    """Everything that is known of one build. `closed_at` is empty until it is closed; then nothing in it changes."""

    chosen: Chosen
    chosen_by: str
    chosen_at: str
    taken: tuple[TakenPart, ...] = ()
    measured: tuple[MeasuredQuench, ...] = ()
    closed_by: str = ""
    closed_at: str = ""
