"""The records of one engine: its measures, and the windows and limits that the builder asks for."""

from __future__ import annotations

import math
from collections.abc import Mapping
from datetime import date
from types import MappingProxyType

from msgspec import Struct, field
from msgspec.structs import force_setattr

from stackopt.engine.cautions import Caution, Units
from stackopt.engine.moving import AtSpeed, HotRun, IntakeClosing, PortSpan, Valve, ValveTrain
from stackopt.engine.stated import Stated

# Two sums of the same decimal lengths can differ in the last binary digits; no gauge reads a millionth of a millimetre.
EDGE_TOLERANCE = 1e-9


def is_upside_down(low: float | None, high: float | None) -> bool:
    """Tell whether the lower end of a window lies above the upper one, by more than rounding."""
    return low is not None and high is not None and low > high + EDGE_TOLERANCE


class Window(Struct, frozen=True):
    """A wanted range, inclusive at both ends; `None` leaves an end open.

    Ends that differ by less than `EDGE_TOLERANCE`, as inches turned to mm may, are one value.
    `aim` is the value wanted most; left out, it is the middle where there are two ends.
    """

    low: float | None = None
    high: float | None = None
    aim: float | None = None

    def __post_init__(self) -> None:
        if self.low is None and self.high is None:
            raise ValueError("a window needs at least one end")
        if is_upside_down(self.low, self.high):
            raise ValueError("the lower end of a window lies above its upper end")
        if self.low is not None and self.high is not None and self.high - self.low < EDGE_TOLERANCE:
            force_setattr(self, "low", self.high)
        if self.aim is not None and self.miss(self.aim):
            raise ValueError("the aim lies outside its window")
        if self.aim is None and self.low is not None and self.high is not None:
            force_setattr(self, "aim", (self.low + self.high) / 2)

    @property
    def half_width(self) -> float:
        """Half of high − low, what a distance from the aim is divided by; 0.5 where an end is open or both agree."""
        if self.low is None or self.high is None or self.low == self.high:
            return 0.5
        return (self.high - self.low) / 2

    def miss(self, value: float) -> float:
        """Return how far a value lies outside: negative below, positive above, 0 inside or on an edge."""
        if self.low is not None and value < self.low - EDGE_TOLERANCE:
            return value - self.low
        if self.high is not None and value > self.high + EDGE_TOLERANCE:
            return value - self.high
        return 0.0

    def distance(self, value: float) -> float:
        """Return |value − aim| / half-width; 0 without an aim."""
        return 0.0 if self.aim is None else abs(value - self.aim) / self.half_width


# Common practice, no source: 0.030 to 0.040 in for a street engine.
STREET_QUENCH_MM = Window(0.762, 1.016)


class Spread(Struct, frozen=True):
    """Standard uncertainties of what was measured on a cylinder; 0 where nothing is known about them.

    `deck_limits_mm` are the half-widths of those parts of the deck's uncertainty that are rectangular (an instrument's
    error limit, the tolerance of a base gasket that lay in place); `deck_mm` holds them too, each as a/√3.
    `chamber_limits_cc` and `piston_limits_cc` are the same of the volumes (a burette's step, a limit that was stated).
    `half_tilt_mm` is the standard uncertainty of half the difference between two opposite places. `gasket_mm` is the
    tolerance, a half-width, of a gasket whose list states none, where the shop or the engine's file states that.
    `unstated` names what the readings leave out, as the gasket in place whose tolerance nobody stated.
    """

    deck_mm: float = 0.0
    deck_degrees_of_freedom: float = float("inf")
    bore_mm: float = 0.0
    chamber_cc: float = 0.0
    piston_cc: float = 0.0
    recess_mm: float = 0.0
    deck_limits_mm: tuple[float, ...] = ()
    half_tilt_mm: float = 0.0
    gasket_mm: float = 0.0
    unstated: tuple[str, ...] = ()
    chamber_degrees_of_freedom: float = float("inf")
    piston_degrees_of_freedom: float = float("inf")
    chamber_limits_cc: tuple[float, ...] = ()
    piston_limits_cc: tuple[float, ...] = ()

    @property
    def volume_limits_cc(self) -> tuple[float, ...]:
        """The limits of both volumes, cm³."""
        return self.chamber_limits_cc + self.piston_limits_cc


class Cylinder(Struct, frozen=True):
    """One measured cylinder and the windows it must land in.

    Parameters
    ----------
    name
        As the builder calls it: front, rear, left, right.
    bore_mm, stroke_mm
        Bore and stroke, mm.
    deck_height_mm
        From the cylinder's deck down to the piston's flat at top dead centre, cylinder seated without a base gasket;
        mm, negative when the piston stands proud.
    chamber_volume_cc
        Head chamber up to the gasket face, cm³; None when not measured, then there is no ratio.
    piston_volume_cc
        Crown volume, cm³: positive takes space away (dome), negative adds it (dish, reliefs).
    crevice_volume_cc
        Crevice above the top ring, cm³.
    band_recess_mm
        Recess of the head's quench band from its gasket face, mm; negative when the band stands proud.
    quench, compression, effective
        The windows on quench, on the static ratio and on the effective one; None where the question does not arise (no
        quench band) or was not asked.
    spread
        Standard uncertainties of the measured values.
    intake, valves, valve_train, hot, running
        What moves with the stack; None or empty where its measures were not given.
    chamber_opening_mm2
        Area of the chamber's mouth in the head's gasket face, mm², what a cut of the face takes along; None where not
        stated, then the bore's area stands in for it.
    compression_height_mm
        Of the piston fitted, from its pin to its flat, mm; None where not stated.
    tilt_mm, rock_mm
        How far the piston's flat lies askew: from one pin end to the other, and across the pin where it rocks; mm, 0
        where nothing was read of it.
    stated
        What the user's own text states; None where there is no such text.
    """

    name: str
    bore_mm: float
    stroke_mm: float
    deck_height_mm: float
    chamber_volume_cc: float | None = None
    piston_volume_cc: float = 0.0
    crevice_volume_cc: float = 0.0
    band_recess_mm: float = 0.0
    quench: Window | None = STREET_QUENCH_MM
    compression: Window | None = None
    spread: Spread = field(default_factory=Spread)
    effective: Window | None = None
    intake: IntakeClosing | None = None
    valves: tuple[Valve, ...] = ()
    valve_train: ValveTrain | None = None
    hot: HotRun | None = None
    chamber_opening_mm2: float | None = None
    compression_height_mm: float | None = None
    tilt_mm: float = 0.0
    rock_mm: float = 0.0
    stated: Stated | None = None
    running: AtSpeed | None = None

    @property
    def askew_mm(self) -> float:
        """How far the quench is at its least place below its mean, mm: half the tilt, and the rock.

        Rock is read nearer to the middle than the band lies, so all of it counts and not half.
        """
        return abs(self.tilt_mm) / 2 + self.rock_mm

    @property
    def quench_ends_mm(self) -> tuple[float, float]:
        """Between what the mean quench must lie, mm, so that its least place is inside the window too.

        Infinite where an end is open or there is no window; upside down where the piston lies too far askew.
        """
        if self.quench is None:
            return -math.inf, math.inf
        low_mm = -math.inf if self.quench.low is None else self.quench.low + self.askew_mm
        return low_mm, math.inf if self.quench.high is None else self.quench.high


class Match(Struct, frozen=True):
    """How far the cylinders of one engine may differ, inclusive; None where no limit is stated."""

    quench_mm: float | None = None
    compression: float | None = None


# Common practice, no source: beyond these a difference between the cylinders is worth a word.
COMMON_MATCH = Match(quench_mm=0.13, compression=0.1)


class Levers(Struct, frozen=True):
    """What may be done beyond gaskets: the most of each, mm (0: not allowed), and whether another piston may go in."""

    head_cut_mm: float = 0.0
    deck_cut_mm: float = 0.0
    spacer_mm: float = 0.0
    pistons: bool = False

    @property
    def of_any_amount(self) -> bool:
        """Something may be done to any amount: a cut, or a spacer."""
        return bool(self.head_cut_mm or self.deck_cut_mm or self.spacer_mm)


class Engine(Struct, frozen=True):
    """One open engine: what it is, what was measured, what is asked for.

    Parameters
    ----------
    name, family
        The shop's number for the engine, and the family code that parts name under `fits`.
    cylinders
        One record a cylinder, in the shop's order.
    rod_length_mm
        Centre to centre, mm; None when not stated.
    due
        The day by which every part must be here; None: any lead time will do.
    priority
        Weight of this engine when not every engine can be finished.
    shims
        How many base shims may go above the one base gasket of a seat.
    opening_margin_mm
        By how much a head gasket's opening must exceed the bore, mm on the diameter.
    least_quench_chance
        Least chance of landing in the quench window, 0 to 1; None where no least chance is stated.
    match
        Limits on the difference between cylinders.
    pinned
        Parts already fitted, cylinder name to part numbers: a stack must contain them; they leave no shelf.
    cautions
        What the reader of the engine's data wants the builder to be told with the answer.
    ports
        The two ports of a V engine; None where their measures were not given.
    levers
        What the builder allows beyond gaskets.
    units
        The unit in which most of its lengths were written.
    """

    name: str
    family: str
    cylinders: tuple[Cylinder, ...]
    rod_length_mm: float | None = None
    due: date | None = None
    priority: int = 1
    shims: int = 0
    opening_margin_mm: float = 0.0
    least_quench_chance: float | None = None
    match: Match = field(default_factory=Match)
    pinned: Mapping[str, tuple[str, ...]] = field(default_factory=lambda: MappingProxyType({}))
    cautions: tuple[Caution, ...] = ()
    ports: PortSpan | None = None
    levers: Levers = field(default_factory=Levers)
    units: Units = Units.MM
