"""What is said of one engine at the bench: what was read, what goes on each cylinder, from where, what comes out."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from datetime import date, timedelta

from msgspec import Struct

from stackopt.choose.built.board import BoardLine
from stackopt.choose.built.build import Build
from stackopt.choose.choice_records import SHELF, FittedCylinder, FittedEngine, Order, Status, Use
from stackopt.choose.coming import is_coming
from stackopt.choose.doubt.intervals import Interval, cylinder_intervals
from stackopt.choose.why.cautions import engine_cautions
from stackopt.choose.why.explain import Answer
from stackopt.engine.cautions import Caution, Units
from stackopt.engine.engine_records import Cylinder, Engine, Window
from stackopt.engine.readings.deck import crown_words
from stackopt.engine.readings.deck_spread import deck_reach_mm
from stackopt.parts.part_records import Part, Supply
from stackopt.report.answer.fitted import work_price
from stackopt.report.answer.read_document import stated_of
from stackopt.report.drawings.answer_drawings import Ground, map_of, section_of
from stackopt.report.drawings.section import deck_words
from stackopt.report.drawings.shapes import Drawing
from stackopt.report.wording import ALWAYS, both_lengths, off_aim, written_date


class CardPiece(Struct, frozen=True):
    """One piece on one cylinder: what it is, how thick, and where it comes from, in words."""

    role: str
    part: str
    thickness_mm: float
    source: str
    both: bool = False
    estimated: bool = False


class SheetCylinder(Struct, frozen=True):
    """One cylinder: what was read, what goes on it, what comes out with its spread, and its drawings.

    `read` are pairs of what and how much. `quench` and `ratio` are None where nothing is known of their spread.
    `left_out` names what chance and spread leave out.
    """

    name: str
    read: tuple[tuple[str, str], ...]
    pieces: tuple[CardPiece, ...] = ()
    work: tuple[str, ...] = ()
    quench_mm: float | None = None
    ratio: float | None = None
    quench: Interval | None = None
    ratio_spread: Interval | None = None
    chance: float | None = None
    left_out: tuple[str, ...] = ()
    off_quench: str = ""
    off_ratio: str = ""
    section: Drawing | None = None
    map: Drawing | None = None


class CardSheet(Struct, frozen=True):
    """Everything that stands on the card of an engine, and above it on its page."""

    engine: str
    family: str
    due: date | None
    day: date
    cylinders: tuple[SheetCylinder, ...]
    cautions: tuple[str, ...]
    proven: bool
    blocked: bool = False
    reasons: tuple[str, ...] = ()
    orders: tuple[Order, ...] = ()
    ready_on: date | None = None
    chosen_by: str = ""

    @property
    def spend_cents(self) -> int:
        """What is to be paid now, cents."""
        return sum(order.total_cents for order in self.orders)


def sheet_of_answer(engine: Engine, answer: Answer, units: Units) -> CardSheet:
    """Return the sheet of an engine that was just asked about."""
    fitted = next(each for each in answer.choice.engines if each.engine == engine.name)
    today = answer.request.today
    sources = _sources(answer.choice.use, answer.choice.orders, answer.supply, today)
    return CardSheet(
        engine.name,
        engine.family,
        engine.due,
        today,
        _cylinders(engine, fitted, Ground(answer.supply, today), sources),
        (*caution_words(answer.cautions_of(engine, fitted), units), *ALWAYS),
        answer.choice.status is Status.PROVEN,
        fitted.blocked,
        fitted.reasons,
        answer.choice.orders,
        None if fitted.blocked else today + timedelta(days=fitted.wait_days),
    )


def sheet_of_build(build: Build, line: BoardLine, ground: Ground, units: Units) -> CardSheet:
    """Return the sheet of an engine for which parts were chosen, with where they are now."""
    chosen, supply, today = build.chosen, ground.supply, ground.today
    parts = {**supply.parts, **{part.number: part for part in chosen.parts}}
    known = Supply(parts, supply.stock, supply.offers, supply.suppliers, supply.kits, supply.services)
    return CardSheet(
        chosen.engine.name,
        chosen.engine.family,
        chosen.engine.due,
        today,
        _cylinders(chosen.engine, chosen.fitted, Ground(known, today), _where_now(line, build, supply)),
        (*caution_words(engine_cautions(chosen.engine, chosen.fitted, known), units), *ALWAYS),
        chosen.status is Status.PROVEN,
        ready_on=line.ready_on,
        chosen_by=build.chosen_by,
    )


def _cylinders(
    engine: Engine, fitted: FittedEngine, ground: Ground, sources: Mapping[str, str]
) -> tuple[SheetCylinder, ...]:
    if fitted.blocked:
        return tuple(
            SheetCylinder(each.name, tuple(read_words(each)), map=map_of(engine, index, ground, None))
            for index, each in enumerate(engine.cylinders)
        )
    return tuple(_cylinder(engine, index, each, ground, sources) for index, each in enumerate(fitted.cylinders))


def _cylinder(
    engine: Engine, index: int, fitted: FittedCylinder, ground: Ground, sources: Mapping[str, str]
) -> SheetCylinder:
    measured, parts = engine.cylinders[index], ground.supply.parts
    spread = cylinder_intervals(measured, fitted, parts)
    off_quench = "no quench band" if measured.quench is None else off_aim(fitted.quench_mm, measured.quench, 3, " mm")
    has_ratio = fitted.compression_ratio is not None
    return SheetCylinder(
        measured.name,
        tuple(read_words(measured)),
        tuple(_pieces(fitted, parts, sources)),
        tuple(f"{work}, {work_price(work)}" for work in fitted.work),
        fitted.quench_mm,
        fitted.compression_ratio,
        spread.quench,
        spread.ratio,
        fitted.chance_in_window,
        fitted.left_out,
        off_quench,
        off_aim(fitted.compression_ratio or 0.0, measured.compression, 2) if has_ratio else "no chamber volume stated",
        section_of(measured, fitted, parts),
        map_of(engine, index, ground, fitted),
    )


def _pieces(fitted: FittedCylinder, parts: Mapping[str, Part], sources: Mapping[str, str]) -> Iterator[CardPiece]:
    for piece in fitted.pieces:
        part = parts[piece.part]
        source = sources.get(piece.part, "already fitted")
        yield CardPiece(str(piece.role), part.number, part.thickness_mm, source, part.covers > 1, part.estimated)


def _sources(use: Sequence[Use], orders: Sequence[Order], supply: Supply, today: date) -> dict[str, str]:
    """Say of each part where its pieces come from: the shelf with its bin, or a supplier with the day."""
    days = {
        (line.offer.part, order.supplier): today + timedelta(days=line.offer.lead_days)
        for order in orders
        for line in order.lines
    }
    words: dict[str, list[str]] = {}
    for taken in use:
        if taken.source == SHELF:
            told = _shelf_words(taken.part, supply)
        elif is_coming(taken.source):
            told = taken.source
        else:
            day = days.get((taken.part, taken.source))
            told = f"{taken.source}, here {written_date(day)}" if day else f"out of {taken.source}"
        words.setdefault(taken.part, []).append(told)
    return {part: " and ".join(told) for part, told in words.items()}


def _where_now(line: BoardLine, build: Build, supply: Supply) -> dict[str, str]:
    words: dict[str, list[str]] = {part: [f"held, {_shelf_words(part, supply)}"] for part in line.holds}
    for awaited in line.waits_for:
        sent = "order" if awaited.sent else "draft"
        told = f"{awaited.supplier}, {sent} {awaited.order}, here {written_date(awaited.here_on)}"
        told = f"{awaited.supplier}, held there" if awaited.branch else told
        words.setdefault(awaited.part, []).append(told)
    for taken in build.taken:
        words.setdefault(taken.part, ["in the engine"])
    return {part: " and ".join(told) for part, told in words.items()}


def _shelf_words(part: str, supply: Supply) -> str:
    stock = supply.stock.get(part)
    return f"shelf, bin {stock.bin}" if stock is not None and stock.bin else "shelf"


def read_words(cylinder: Cylinder) -> Iterator[tuple[str, str]]:
    """Yield what was read of a cylinder, each with its name, as it was written, so that a slip shows."""
    stated = stated_of(cylinder)
    reach_mm = deck_reach_mm(cylinder.spread) if cylinder.spread.deck_mm else None
    sure = f", ± {reach_mm:.3f} mm (95 %)" if reach_mm is not None else ", its doubt is not known"
    deck = stated.written.get("deck", deck_words(cylinder.deck_height_mm))
    yield "deck", f"piston {deck}{sure}"
    yield "bore", stated.written.get("bore", both_lengths(cylinder.bore_mm))
    yield "stroke", stated.written.get("stroke", both_lengths(cylinder.stroke_mm))
    chamber = "not stated" if cylinder.chamber_volume_cc is None else f"{cylinder.chamber_volume_cc:.4g} cc"
    yield "chamber", stated.written.get("chamber volume", chamber)
    yield "piston crown", crown_words(cylinder.piston_volume_cc) if stated.piston_volume else "not stated: 0 cc"
    yield "quench wanted", "no quench band" if cylinder.quench is None else _window_words(cylinder.quench, 3, " mm")
    if cylinder.compression is not None:
        yield "ratio wanted", _window_words(cylinder.compression, 2, "")


def _window_words(window: Window, decimals: int, unit: str) -> str:
    low, high, aim = (None if v is None else f"{v:.{decimals}f}" for v in (window.low, window.high, window.aim))
    ends = f"{low} to {high}" if low and high else f"at most {high}" if high else f"at least {low}"
    return f"{ends}{unit}, aim {aim}{unit}" if aim else f"{ends}{unit}"


def caution_words(cautions: Sequence[Caution], units: Units) -> tuple[str, ...]:
    """Return cautions as sentences, each once, the cylinder in front where one is concerned."""
    return tuple(
        dict.fromkeys((f"{each.cylinder}: " if each.cylinder else "") + each.words(units) for each in cautions)
    )
