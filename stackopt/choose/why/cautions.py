"""What one answer calls for besides what is always said: rules of the trade that warn but forbid nothing."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator
from datetime import date

from stackopt.choose.choice_records import FittedEngine
from stackopt.choose.solve.unbound import leaves_depths_out
from stackopt.choose.stacks.worked import gaskets_of, lift_mm
from stackopt.choose.why.slips import slip_cautions
from stackopt.engine.cautions import About, Caution
from stackopt.engine.effects.at_speed import RUNNING_QUENCH
from stackopt.engine.effects.moves import HOT_QUENCH, port_distance
from stackopt.engine.engine_records import COMMON_MATCH, EDGE_TOLERANCE, Engine
from stackopt.engine.levers.lever import Lever, head_may_be_cut
from stackopt.parts.own import ENOUGH_CYLINDERS
from stackopt.parts.part_records import Kind, Part, Supply

# Common practice, no source: an opening clears the bore by a few millimetres at most.
OPENING_BEYOND_MM = 5.0
FAR_AHEAD_DAYS = 730
# Common practice, no source: one miss in ten is worth a warning.
LOW_CHANCE = 0.9
# Of parts on order without a day so many are named.
MOST_NAMED = 8


def engine_cautions(
    engine: Engine, fitted: FittedEngine, supply: Supply, *, levers_told: bool = False, today: date | None = None
) -> tuple[Caution, ...]:
    """Return what this engine's answer calls for beyond what is always said; `levers_told`: levers are looked at."""
    return (
        *engine.cautions,
        *slip_cautions(engine, fitted),
        *_due_cautions(engine, today),
        *_match_cautions(engine, fitted),
        *_part_cautions(fitted, supply),
        *_wide_openings(engine, fitted, supply),
        *_default_tolerance_cautions(engine, fitted, supply),
        *_reading_cautions(engine),
        *_chance_cautions(engine, fitted),
        *_hot_cautions(fitted),
        *_port_cautions(engine, fitted, supply),
        *_mouth_cautions(engine, looked_at=levers_told or fitted.blocked or engine.levers.head_cut_mm > 0),
        *_lever_cautions(engine, fitted, supply),
    )


def supply_cautions(supply: Supply, engines: Iterable[Engine]) -> Iterator[Caution]:
    """Yield the pieces on order that counted for none of these engines, since their day is not stated."""
    families = {engine.family for engine in engines}
    undated = Counter[str]()
    elsewhere = Counter[str]()
    for each in supply.under_way:
        part = supply.parts.get(each.part)
        if each.day is None and part is not None and any(map(part.fits_family, families)):
            (elsewhere if each.branch else undated)[each.part + (each.branch and f" at {each.branch}")] += each.quantity
    if undated:
        text = f"On order without a day, so it counts for no engine: {_pieces(undated)}. State the day under expected."
        yield Caution(About.ARRIVAL_NOT_STATED, "", text)
    if elsewhere:
        text = (
            f"At another branch, and how many days a transfer takes is not stated, so it counts for no engine: "
            f"{_pieces(elsewhere)}. State it: stackopt shop branch BRANCH --days OTHER=N."
        )
        yield Caution(About.ARRIVAL_NOT_STATED, "", text)


def _pieces(counted: Counter[str]) -> str:
    named = [f"{pieces} of {part}" for part, pieces in sorted(counted.items())]
    more = f" and {len(named) - MOST_NAMED} parts more" if len(named) > MOST_NAMED else ""
    return f"{', '.join(named[:MOST_NAMED])}{more}"


def _match_cautions(engine: Engine, fitted: FittedEngine) -> Iterator[Caution]:
    quench = [cylinder.quench_mm for cylinder in fitted.cylinders]
    ratios = [c.compression_ratio for c in fitted.cylinders if c.compression_ratio is not None]
    common_mm = COMMON_MATCH.quench_mm or 0.0
    if engine.match.quench_mm is None and _spread(quench) > common_mm + EDGE_TOLERANCE:
        text = "The cylinders differ by {} in quench; common practice keeps them within {}."
        yield Caution(About.QUENCH_DIFFERS, "", text, (_spread(quench), common_mm))
    if engine.match.compression is None and _spread(ratios) > (COMMON_MATCH.compression or 0) + EDGE_TOLERANCE:
        text = (
            f"The cylinders differ by {_spread(ratios):.3f} in compression ratio; common practice keeps them within "
            f"{COMMON_MATCH.compression}."
        )
        yield Caution(About.RATIO_DIFFERS, "", text)
    for cylinder in fitted.cylinders:
        if cylinder.compression_ratio is None:
            text = "no chamber volume is stated, so no compression ratio is worked out."
            yield Caution(About.CHAMBER_NOT_STATED, cylinder.cylinder, text)


def _reading_cautions(engine: Engine) -> Iterator[Caution]:
    if any(cylinder.spread.deck_mm == 0 for cylinder in engine.cylinders):
        text = "The scatter of the deck readings is not known: chance and spread leave it out."
        yield Caution(About.SPREAD_NOT_KNOWN, "", text)


def _chance_cautions(engine: Engine, fitted: FittedEngine) -> Iterator[Caution]:
    """Name the cylinders that may well miss their window, where the builder asked for no least chance."""
    if engine.least_quench_chance is not None:
        return
    for measured, cylinder in zip(engine.cylinders, fitted.cylinders, strict=False):
        if cylinder.chance_in_window is None or cylinder.chance_in_window >= LOW_CHANCE:
            continue
        share = f"about {100 * cylinder.chance_in_window:.0f} of 100 builds like this one land in the window"
        text = f"{share}: measure it first at mock-up."
        if measured.quench is not None:
            text += " The line chance = 0.9 under [quench] in the engine file leaves such stacks out."
        yield Caution(About.LOW_CHANCE, cylinder.cylinder, text)


def _spread(values: list[float]) -> float:
    return max(values) - min(values) if values else 0.0


def _part_cautions(fitted: FittedEngine, supply: Supply) -> Iterator[Caution]:
    for number in dict.fromkeys(piece.part for cylinder in fitted.cylinders for piece in cylinder.pieces):
        part = supply.parts[number]
        if part.kind is Kind.HEAD_GASKET and part.opening_mm2 is None:
            text = f"No opening is stated for {number}: the bore is used in the volume. Check that it clears the bore."
            yield Caution(About.OPENING_NOT_STATED, "", text)
        if part.measured_on or part.pieces_measured:
            yield _own_thickness_caution(part)
        if part.estimated:
            text = f"The installed thickness of {number} is worked out from its free thickness: measure one crushed."
            yield Caution(About.THICKNESS_ESTIMATED, "", text)


def _wide_openings(engine: Engine, fitted: FittedEngine, supply: Supply) -> Iterator[Caution]:
    """Name head gaskets whose opening is far wider than the bore: they, or the bore, are of another engine."""
    for measured, cylinder in zip(engine.cylinders, fitted.cylinders, strict=False):
        for part in (supply.parts[piece.part] for piece in cylinder.pieces):
            if part.opening_mm is not None and part.opening_mm > measured.bore_mm + OPENING_BEYOND_MM:
                text = f"the opening of {part.number}, {{}}, is far wider than the bore of {{}}. Check both."
                yield Caution(About.OPENING_FAR_WIDER, cylinder.cylinder, text, (part.opening_mm, measured.bore_mm))


def _default_tolerance_cautions(engine: Engine, fitted: FittedEngine, supply: Supply) -> Iterator[Caution]:
    """Name the gaskets that count with a tolerance which no list states."""
    named: dict[float, list[str]] = {}
    for measured, cylinder in zip(engine.cylinders, fitted.cylinders, strict=False):
        gaskets = gaskets_of([supply.parts[piece.part] for piece in cylinder.pieces])
        if measured.spread.gasket_mm:
            named.setdefault(measured.spread.gasket_mm, []).extend(
                gasket.number for gasket in gaskets if not gasket.tolerance_mm
            )
    for tolerance_mm, numbers in named.items():
        if numbers:
            text = f"No list states a tolerance of {' and '.join(dict.fromkeys(numbers))}: ± {{}} counts, the default."
            yield Caution(About.DEFAULT_TOLERANCE, "", text, (tolerance_mm,))


def _own_thickness_caution(part: Part) -> Caution:
    if part.pieces_measured:
        pieces = "1 piece" if part.pieces_measured == 1 else f"{part.pieces_measured} pieces"
        text = f"The thickness of {part.number}, {{}}, was measured on {pieces} of its deliveries."
        if not part.only_measured:
            text += " Pieces that were not measured may be taken too, so its doubt covers both: measure what you take."
        return Caution(About.OWN_THICKNESS, "", text, (part.thickness_mm,))
    cylinders = "1 cylinder" if part.measured_on == 1 else f"{part.measured_on} cylinders"
    text = f"The thickness of {part.number}, {{}}, is the shop's own, after {cylinders}."
    if part.measured_on < ENOUGH_CYLINDERS:
        text += " That is little to rest on: measure one crushed before you rely on it."
    return Caution(About.OWN_THICKNESS, "", text, (part.thickness_mm,))


def _hot_cautions(fitted: FittedEngine) -> Iterator[Caution]:
    for cylinder in fitted.cylinders:
        for figure in cylinder.figures:
            if figure.name == HOT_QUENCH and figure.value <= EDGE_TOLERANCE:
                text = "the hot quench is {}: piston and head touch when hot (an estimate). Choose a thicker stack."
                yield Caution(About.CONTACT_WHEN_HOT, cylinder.cylinder, text, (figure.value,))
            if figure.name == RUNNING_QUENCH and figure.value <= EDGE_TOLERANCE:
                text = "the running quench is {}: piston and head touch at speed (an estimate). Choose a thicker stack."
                yield Caution(About.CONTACT_AT_SPEED, cylinder.cylinder, text, (figure.value,))


def _port_cautions(engine: Engine, fitted: FittedEngine, supply: Supply) -> Iterator[Caution]:
    """Say how far apart the two ports of a V come to lie; a blocked engine has no stacks to say it of."""
    if engine.ports is None or len(fitted.cylinders) != 2:
        return
    front_mm, rear_mm = (lift_mm(cylinder, supply.parts) for cylinder in fitted.cylinders)
    figure = port_distance(engine.ports, front_mm, rear_mm)
    yield Caution(About.PORTS, "", f"Change of the distance between the ports {{}}, {figure.remark}.", (figure.value,))


def _due_cautions(engine: Engine, today: date | None) -> Iterator[Caution]:
    if engine.due is not None and today is not None and engine.due < today:
        text = f"the parts were due on {engine.due.isoformat()}, before today: nothing that is ordered can be in time."
        yield Caution(About.DUE_DATE_PASSED, "", text)
    if engine.due is not None and today is not None and (engine.due - today).days > FAR_AHEAD_DAYS:
        text = f"the parts are due on {engine.due.isoformat()}, more than two years ahead. Check the year."
        yield Caution(About.UNUSUAL_MEASURE, "", text)


def _mouth_cautions(engine: Engine, *, looked_at: bool) -> Iterator[Caution]:
    """Say what is missing where a head cut could be of use and its effect is not known."""
    for cylinder in engine.cylinders:
        if looked_at and cylinder.chamber_volume_cc is not None and not head_may_be_cut(cylinder):
            text = (
                "no chamber_opening is stated, and with a quench band the chamber's mouth is smaller than the bore: "
                "what a head cut takes along is not known, so none is offered. Measure the opening at the face."
            )
            yield Caution(About.CHAMBER_OPENING_NOT_STATED, cylinder.name, text)


def _lever_cautions(engine: Engine, fitted: FittedEngine, supply: Supply) -> Iterator[Caution]:
    work = [(cylinder.cylinder, one) for cylinder in fitted.cylinders for one in cylinder.work]
    cut = [(name, one) for name, one in work if one.lever is not Lever.SPACER]
    if cut:
        named = ", ".join(f"{one.lever} {{}} on the {name}" for name, one in cut)
        text = f"Metal does not grow back: mock it up again before cutting, and cut no more than {named}."
        yield Caution(About.METAL, "", text, tuple(one.amount_mm for _, one in cut))
    if any(one.lever is Lever.HEAD_CUT for _, one in work):
        text = (
            "The chamber of a cut head is worked out as if its walls stood straight, an estimate: measure it again "
            "with a burette."
        )
        yield Caution(About.CHAMBER_AFTER_A_CUT, "", text)
    for lever in dict.fromkeys(str(one.lever) for _, one in work if one.price_cents is None):
        text = f"No services sheet states what a {lever} costs: it counts as nothing in the money."
        yield Caution(About.PRICE_NOT_STATED, "", text)
    for lever in dict.fromkeys(str(one.lever) for _, one in work if one.price_cents is not None):
        service = supply.services.get(lever)
        if service is not None and not service.is_understood:
            text = (
                f"The price of a {lever} stands per {service.per}, which is not understood: it was counted for each "
                "cylinder worked on. Say per cylinder, or per engine."
            )
            yield Caution(About.PRICE_NOT_UNDERSTOOD, "", text)
    if leaves_depths_out(engine, supply.parts.values()) and (work or fitted.blocked):
        text = (
            "The cylinders are bound to each other: tried were the depths that are best for each by itself, and those "
            "that suit both together. Others could suit both still better."
        )
        yield Caution(About.DEPTHS_LEFT_OUT, "", text)
    yield from _piston_cautions(engine, fitted, supply)


def _piston_cautions(engine: Engine, fitted: FittedEngine, supply: Supply) -> Iterator[Caution]:
    pistons = [piece.part for cylinder in fitted.cylinders for piece in cylinder.pieces if piece.role is Kind.PISTON]
    if pistons:
        text = (
            f"With {' and '.join(dict.fromkeys(pistons))} deck, crown volume and valve pockets are taken as listed, an "
            "estimate: mock the piston up, read the deck and the valves again, and weigh it against the other."
        )
        yield Caution(About.ANOTHER_PISTON, "", text)
    unknown = [one.name for one in engine.cylinders if one.compression_height_mm is None]
    other = [part.number for part in supply.parts.values() if part.compression_height_mm is not None]
    if engine.levers.pistons and unknown and other:
        text = (
            f"The compression height of the piston in {' and '.join(unknown)} is not stated, so it is not known how "
            f"high {' or '.join(other)} would stand there."
        )
        yield Caution(About.COMPRESSION_HEIGHT_NOT_STATED, "", text)
