"""The figures of an engine for which a usual range is known: what each is called, and how to get it.

All ranges are common practice, no source, wide enough for a touring twin and for a racing one.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator

from msgspec import Struct

from stackopt.engine.engine_records import Cylinder, Engine
from stackopt.engine.geometry import circle_area_mm2, swept_volume_cc
from stackopt.engine.moving import IntakeClosing
from stackopt.problems import UnreadableError
from stackopt.units import length_mm

# A mean piston speed of 1 m/s is a stroke of 1 mm, there and back, at 30,000 turns a minute.
MM_RPM_PER_M_S = 30_000.0
STACK_MM = (0.2, 4.0)
MOST_SHIMS = 4


class UnusualFigure(Struct, frozen=True):
    """A figure as it is called, in a unit; a length in mm has none, as it is told in the user's."""

    what: str
    value: float
    unit: str = ""


Figures = Callable[[Cylinder], Iterable[UnusualFigure]]


def _proportions(cylinder: Cylinder) -> Iterator[UnusualFigure]:
    yield UnusualFigure("a bore over stroke", cylinder.bore_mm / cylinder.stroke_mm, "-")


def _recess(cylinder: Cylinder) -> Iterator[UnusualFigure]:
    yield UnusualFigure("a band recess", cylinder.band_recess_mm)


def _crevice(cylinder: Cylinder) -> Iterator[UnusualFigure]:
    share = 100 * cylinder.crevice_volume_cc / swept_volume_cc(cylinder)
    yield UnusualFigure("a crevice volume", share, "% of the swept volume")


def _mouth(cylinder: Cylinder) -> Iterator[UnusualFigure]:
    if cylinder.chamber_opening_mm2 is not None:
        share = 100 * cylinder.chamber_opening_mm2 / circle_area_mm2(cylinder.bore_mm)
        yield UnusualFigure("a chamber opening", share, "% of the bore's area")


def _deck_limits(cylinder: Cylinder) -> Iterator[UnusualFigure]:
    yield from (UnusualFigure("an error limit of the deck", limit) for limit in cylinder.spread.deck_limits_mm)


def _volume_limits(cylinder: Cylinder) -> Iterator[UnusualFigure]:
    limits_cc = cylinder.spread.volume_limits_cc
    yield from (UnusualFigure("an error limit of chamber or piston volume", limit, "cc") for limit in limits_cc)


def _compression_height(cylinder: Cylinder) -> Iterator[UnusualFigure]:
    if cylinder.compression_height_mm is not None:
        yield UnusualFigure("a compression height", cylinder.compression_height_mm)


def _gasket_tolerance(cylinder: Cylinder) -> Iterator[UnusualFigure]:
    yield UnusualFigure("a gasket tolerance", cylinder.spread.gasket_mm)


def _closing(cylinder: Cylinder) -> Iterator[UnusualFigure]:
    if cylinder.intake is not None:
        yield UnusualFigure("an intake closing", cylinder.intake.after_bottom_deg, "deg after bottom dead centre")


def _pin_offset(cylinder: Cylinder) -> Iterator[UnusualFigure]:
    if cylinder.intake is not None:
        yield UnusualFigure("a pin offset", cylinder.intake.pin_offset_mm)


def lift_of(intake: IntakeClosing) -> float | None:
    """Return the lift at which the closing is stated, mm; None where it is no length, as ``seat``."""
    try:
        return length_mm(intake.at_lift)
    except UnreadableError:
        return None


def _lift(cylinder: Cylinder) -> Iterator[UnusualFigure]:
    lift_mm = None if cylinder.intake is None else lift_of(cylinder.intake)
    if lift_mm is not None:
        yield UnusualFigure("a lift at which the closing is stated", lift_mm)


def _valve_clearances(cylinder: Cylinder) -> Iterator[UnusualFigure]:
    yield from (
        UnusualFigure(f"{valve.name}: a clearance to the piston", valve.clearance_mm) for valve in cylinder.valves
    )


def _valve_leasts(cylinder: Cylinder) -> Iterator[UnusualFigure]:
    for valve in cylinder.valves:
        if valve.least_mm is not None:
            yield UnusualFigure(f"{valve.name}: a least clearance", valve.least_mm)


def _valve_lifts(cylinder: Cylinder) -> Iterator[UnusualFigure]:
    for valve in cylinder.valves:
        if valve.lift_mm_per_deg is not None:
            yield UnusualFigure(f"{valve.name}: a lift per degree", valve.lift_mm_per_deg)


def _valve_angles(cylinder: Cylinder) -> Iterator[UnusualFigure]:
    """Yield the angles of valves that lean: none leans by a degree or two."""
    leaning = (valve for valve in cylinder.valves if valve.angle_deg)
    yield from (UnusualFigure(f"{valve.name}: an angle", valve.angle_deg, "deg") for valve in leaning)


def _stacks(cylinder: Cylinder) -> Iterator[UnusualFigure]:
    yield from (UnusualFigure(f"{valve.name}: an at_stack", valve.at_stack_mm) for valve in cylinder.valves)
    if cylinder.valve_train is not None:
        yield UnusualFigure("valve train: an at_stack", cylinder.valve_train.at_stack_mm)


def _train_limits(cylinder: Cylinder) -> Iterator[UnusualFigure]:
    if cylinder.valve_train is not None and cylinder.valve_train.limit_mm is not None:
        yield UnusualFigure("valve train: a limit", cylinder.valve_train.limit_mm)


def _retard_limits(cylinder: Cylinder) -> Iterator[UnusualFigure]:
    if cylinder.valve_train is not None and cylinder.valve_train.limit_deg is not None:
        yield UnusualFigure("valve train: a limit", cylinder.valve_train.limit_deg, "deg")


def _ratio_windows(cylinder: Cylinder) -> Iterator[UnusualFigure]:
    """Yield how wide the window is: a very wide one asks for nothing, so one of its ends is a slip."""
    window = cylinder.compression
    if window is not None and window.low is not None and window.high is not None:
        yield UnusualFigure("[compression]: a window", window.high - window.low, "-")


def _sprocket(cylinder: Cylinder) -> Iterator[UnusualFigure]:
    train = cylinder.valve_train
    if train is not None and train.sprocket_radius_mm is not None:
        yield UnusualFigure("a sprocket radius", train.sprocket_radius_mm)


def _band_and_mouth(cylinder: Cylinder) -> Iterator[UnusualFigure]:
    """Yield what band and mouth cover: they lie beside each other, so together they are the bore."""
    band_mm2 = cylinder.running.band_mm2 if cylinder.running is not None else None
    if band_mm2 is not None and cylinder.chamber_opening_mm2 is not None:
        share = 100 * (band_mm2 + cylinder.chamber_opening_mm2) / circle_area_mm2(cylinder.bore_mm)
        yield UnusualFigure("a band_area and a chamber_opening together", share, "% of the bore's area")


def _rises(cylinder: Cylinder) -> Iterator[UnusualFigure]:
    if cylinder.hot is not None:
        parts = (*cylinder.hot.opening, *cylinder.hot.closing)
        yield from (UnusualFigure("[hot]: a rise of temperature", part.rise_k, "K") for part in parts)


def _hot_lengths(cylinder: Cylinder) -> Iterator[UnusualFigure]:
    if cylinder.hot is not None:
        parts = (*cylinder.hot.opening, *cylinder.hot.closing)
        yield from (UnusualFigure("[hot]: a part", part.length_mm) for part in parts)


def _least_quenches(cylinder: Cylinder) -> Iterator[UnusualFigure]:
    if cylinder.hot is not None and cylinder.hot.least_quench_mm is not None:
        yield UnusualFigure("[hot]: a least_quench", cylinder.hot.least_quench_mm)
    if cylinder.running is not None and cylinder.running.least_quench_mm is not None:
        yield UnusualFigure("[running]: a least_quench", cylinder.running.least_quench_mm)


def _piston_speed(cylinder: Cylinder) -> Iterator[UnusualFigure]:
    if cylinder.running is not None:
        yield UnusualFigure(
            "a mean piston speed", cylinder.stroke_mm * cylinder.running.speed_rpm / MM_RPM_PER_M_S, "m/s"
        )


def _masses(cylinder: Cylinder) -> Iterator[UnusualFigure]:
    if cylinder.running is not None and cylinder.running.rod is not None:
        grams = 1000 * cylinder.running.rod.mass_kg
        yield UnusualFigure("a piston_mass over the bore cubed", grams / (cylinder.bore_mm / 10) ** 3, "g/cm³")


def _sections(cylinder: Cylinder) -> Iterator[UnusualFigure]:
    if cylinder.running is not None and cylinder.running.rod is not None:
        share = 100 * cylinder.running.rod.section_mm2 / circle_area_mm2(cylinder.bore_mm)
        yield UnusualFigure("a rod_section", share, "% of the bore's area")


def _bands(cylinder: Cylinder) -> Iterator[UnusualFigure]:
    if cylinder.running is not None and cylinder.running.band_mm2 is not None:
        share = 100 * cylinder.running.band_mm2 / circle_area_mm2(cylinder.bore_mm)
        yield UnusualFigure("a band_area", share, "% of the bore's area")


USUAL: tuple[tuple[tuple[float, float], Figures], ...] = (
    ((0.65, 1.8), _proportions),
    ((-1.0, 1.0), _recess),
    ((0, 1), _crevice),
    ((15, 105), _mouth),
    ((-0.1, 0.1), _deck_limits),
    ((0, 1), _volume_limits),
    ((15.0, 80.0), _compression_height),
    ((-0.1, 0.1), _gasket_tolerance),
    ((20, 90), _closing),
    ((-3.0, 3.0), _pin_offset),
    ((-2.0, 2.0), _lift),
    ((0.5, 8.0), _valve_clearances),
    ((1.0, 5.0), _valve_leasts),
    ((0.005, 0.2), _valve_lifts),
    ((3, 45), _valve_angles),
    ((-2.0, 2.0), _train_limits),
    ((0.05, 3), _retard_limits),
    ((0.05, 4), _ratio_windows),
    ((30, 105), _band_and_mouth),
    (STACK_MM, _stacks),
    ((15.0, 60.0), _sprocket),
    ((20, 300), _rises),
    ((20.0, 300.0), _hot_lengths),
    ((0.15, 2.0), _least_quenches),
    ((3, 30), _piston_speed),
    ((0.3, 2), _masses),
    ((1, 12), _sections),
    ((5, 75), _bands),
)


def engine_figures(engine: Engine) -> Iterator[tuple[tuple[float, float], UnusualFigure]]:
    """Yield each figure of the whole engine, with what is usual."""
    if engine.ports is not None:
        yield (15, 135), UnusualFigure("[ports]: an included angle", engine.ports.included_angle_deg, "deg")
        yield STACK_MM, UnusualFigure("[ports]: an at_stack", engine.ports.at_stack_mm)
        if engine.ports.limit_mm is not None:
            yield (-2.0, 2.0), UnusualFigure("[ports]: a limit", engine.ports.limit_mm)
    if engine.match.quench_mm is not None:
        yield (-0.5, 0.5), UnusualFigure("[match]: a difference of quench", engine.match.quench_mm)
    if engine.match.compression is not None:
        yield (0, 0.5), UnusualFigure("[match]: a difference of ratio", engine.match.compression, "-")
    if engine.least_quench_chance is not None:
        yield (0.5, 1), UnusualFigure("[quench]: a least chance", engine.least_quench_chance, "-")
    yield (0, MOST_SHIMS), UnusualFigure("[base]: a number of shims", engine.shims, "-")
    yield (-5.0, 5.0), UnusualFigure("an opening_margin", engine.opening_margin_mm)
    yield (-1.5, 1.5), UnusualFigure("[levers]: a head cut", engine.levers.head_cut_mm)
    yield (-1.5, 1.5), UnusualFigure("[levers]: a deck cut", engine.levers.deck_cut_mm)
    yield (-5.0, 5.0), UnusualFigure("[levers]: a spacer", engine.levers.spacer_mm)
