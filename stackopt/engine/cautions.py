"""A caution: a warning beside an answer's figures, with what it is about and the cylinder that it concerns."""

from __future__ import annotations

from enum import StrEnum

from msgspec import Struct

from stackopt.units import MM_PER_INCH


class Units(StrEnum):
    """The unit of length that a user reads and writes first."""

    MM = "mm"
    INCH = "inch"

    def length(self, length_mm: float) -> str:
        """Write a length for a sentence: ``0.115 mm``, or ``0.0045 in (0.115 mm)`` for users of inches."""
        if self is Units.MM:
            return f"{length_mm:.3f} mm"
        return f"{length_mm / MM_PER_INCH:.4f} in ({length_mm:.3f} mm)"


class About(StrEnum):
    """What a caution is about: the whole list, in the order in which the guide documents it."""

    UNITS_DIFFER = "units differ"
    FINER_THAN_ANY_INSTRUMENT = "finer than any instrument"
    UNUSUAL_RATIO = "unusual ratio"
    UNUSUAL_ROD = "unusual rod"
    UNUSUAL_MEASURE = "unusual measure"
    DECK_AS_NOUGHT = "deck stated as 0"
    MORE_THAN_TWO = "more than two cylinders"
    CYLINDERS_UNLIKE = "cylinders unlike"
    CYLINDERS_ALIKE = "cylinders alike"
    DECK_FAR_OUT = "deck far out"
    DUE_DATE_PASSED = "due date passed"
    PISTON_NOT_STATED = "piston volume not stated"
    CHAMBER_NOT_STATED = "chamber volume not stated"
    CHAMBER_OPENING_NOT_STATED = "chamber opening not stated"
    OPENING_NOT_STATED = "opening not stated"
    OPENING_FAR_WIDER = "opening far wider"
    COMPRESSION_HEIGHT_NOT_STATED = "compression height not stated"
    POCKETS_NOT_STATED = "pockets not stated"
    RETARD_NOT_COUNTED = "retard not counted"
    WINDOW_NOT_STATED = "quench window not stated"
    BEYOND_PRACTICE = "window beyond practice"
    NO_QUENCH_BAND = "no quench band"
    DECK_READINGS = "deck readings"
    RESOLUTION_NOT_STATED = "resolution not stated"
    READINGS_UNFIT = "readings unfit"
    REPEATS_APART = "repeats apart"
    READ_ONCE = "read once"
    NOT_TORQUED = "not torqued"
    BORE_READINGS = "bore readings"
    TILT = "tilt"
    SPREAD_NOT_KNOWN = "spread not known"
    LOW_CHANCE = "low chance"
    QUENCH_DIFFERS = "quench differs"
    RATIO_DIFFERS = "ratio differs"
    HOT_PISTON_NOT_STATED = "hot piston not stated"
    CONTACT_WHEN_HOT = "contact when hot"
    CONTACT_AT_SPEED = "contact at speed"
    DEFAULT_TOLERANCE = "default tolerance"
    OWN_THICKNESS = "own thickness"
    THICKNESS_ESTIMATED = "thickness estimated"
    PORTS = "ports"
    METAL = "metal"
    CHAMBER_AFTER_A_CUT = "chamber after a cut"
    ARRIVAL_NOT_STATED = "arrival not stated"
    PRICE_NOT_STATED = "price not stated"
    PRICE_NOT_UNDERSTOOD = "price not understood"
    DEPTHS_LEFT_OUT = "depths left out"
    ANOTHER_PISTON = "another piston"
    BEFORE_IT_RUNS = "before it runs"
    NOTE = "note"


class Caution(Struct, frozen=True):
    """One caution.

    Parameters
    ----------
    about
        What it is about.
    cylinder
        The cylinder that it concerns; empty where it concerns the engine.
    text
        One sentence or two; ``{}`` stands for each of the lengths, in their order.
    lengths_mm
        The lengths in the text, mm, which are written in the user's own units.
    """

    about: About
    cylinder: str
    text: str
    lengths_mm: tuple[float, ...] = ()

    def words(self, units: Units) -> str:
        """Return the text with its lengths written in these units."""
        if not self.lengths_mm:
            return self.text
        return self.text.format(*map(units.length, self.lengths_mm))
