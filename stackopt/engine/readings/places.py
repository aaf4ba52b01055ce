"""Readings of the deck, and the places of the crown where they were taken: where, with what, and how often."""

from __future__ import annotations

import math

from msgspec import Struct

from stackopt.engine.readings.uncertainty import mean

PIN_END_ONE, ACROSS_FRONT, PIN_END_TWO, ACROSS_BACK = 0.0, 90.0, 180.0, 270.0
PIN_ENDS = (PIN_END_ONE, PIN_END_TWO)
PLACE_NAMES = {
    PIN_END_ONE: "pin end one",
    ACROSS_FRONT: "across front",
    PIN_END_TWO: "pin end two",
    ACROSS_BACK: "across back",
}


class Reading(Struct, frozen=True):
    """One or more readings at one place, with one instrument.

    Parameters
    ----------
    angle_deg
        Around the bore from pin end one; 180 is pin end two, 90 and 270 lie across the pin.
    values_mm
        As read: positive below the deck, negative proud; a base gasket in place is not yet taken off.
    step_mm
        The instrument's resolution; 0 for a feeler gauge, whose leaves bracket.
    bracket_mm
        Half of the gap between the largest leaf that goes in and the smallest that does not; 0 for other instruments.
    error_limit_mm
        The instrument's limit of error, the same at every place; 0 where none is stated.
    base_gasket_mm, base_gasket_tolerance_mm
        Of the base gasket in place while reading; 0 for none.
    torqued
        Cylinder torqued down; None where that is not said.
    radius_mm
        Distance from the bore's axis; None where not said.
    dead_centre_mm
        How dead centre scatters when it is found again, a standard deviation; None where not said.
    """

    angle_deg: float
    values_mm: tuple[float, ...]
    step_mm: float = 0.01
    bracket_mm: float = 0.0
    error_limit_mm: float = 0.0
    base_gasket_mm: float = 0.0
    base_gasket_tolerance_mm: float = 0.0
    torqued: bool | None = None
    radius_mm: float | None = None
    dead_centre_mm: float | None = None

    @property
    def decks_mm(self) -> list[float]:
        """The readings with the base gasket taken off: d = d_read − B_read."""
        return [value - self.base_gasket_mm for value in self.values_mm]


class ReadingPlace(Struct, frozen=True):
    """All readings at one place of the crown: repeats of each other."""

    angle_deg: float
    radius_mm: float | None
    readings: tuple[Reading, ...]

    @property
    def decks_mm(self) -> list[float]:
        """Every reading, base gasket taken off, mm."""
        return [deck for reading in self.readings for deck in reading.decks_mm]

    @property
    def deck_mm(self) -> float:
        """Their mean, mm."""
        return mean(self.decks_mm)

    @property
    def dead_centre_mm(self) -> float | None:
        """The stated scatter of dead centre of the readings here, mm; None where it is not stated for all of them."""
        stated_mm = [reading.dead_centre_mm for reading in self.readings]
        return None if None in stated_mm else max(stated for stated in stated_mm if stated is not None)

    @property
    def name(self) -> str:
        """As the builder calls it."""
        return PLACE_NAMES.get(self.angle_deg, f"{self.angle_deg:g} deg from pin end one")

    def most(self, limit: str) -> float:
        """Return the largest value that one kind of limit has among the readings here, mm."""
        return max(float(getattr(reading, limit)) for reading in self.readings)

    @property
    def rounding_mm(self) -> float:
        """Half of the smallest difference that the instrument shows, mm: its step, or a gap between leaves."""
        return max(self.most("step_mm") / 2, self.most("bracket_mm"))

    @property
    def apart_mm(self) -> float:
        """The largest difference of two readings here, mm; 0 where nothing was repeated."""
        return max(self.decks_mm) - min(self.decks_mm)

    def is_opposite(self, other: ReadingPlace) -> bool:
        """Tell whether the other place lies across the bore's centre at the same radius."""
        return math.isclose((self.angle_deg + 180) % 360, other.angle_deg) and self.radius_mm == other.radius_mm
