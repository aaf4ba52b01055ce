"""What each cylinder gets, from where, and what comes out: at length for one engine, a line a cylinder for many."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping, Sequence

from rich.console import RenderableType

from stackopt.choose.choice_records import FITTED, SHELF, FittedCylinder, FittedEngine, Piece, Use, Work
from stackopt.choose.coming import coming_from
from stackopt.choose.doubt.budget import cylinder_budget
from stackopt.choose.doubt.intervals import cylinder_intervals
from stackopt.choose.stacks.worked import quench_estimated, ratio_estimated
from stackopt.engine.effects.figures import Figure
from stackopt.engine.engine_records import Cylinder, Engine
from stackopt.parts.part_records import Kind, Part, Supply
from stackopt.report.answer.spread_rows import Row, chance_row, doubt_rows, interval_rows
from stackopt.report.layout import heading, indented, table
from stackopt.report.wording import both_lengths, figure_cell, off_aim, thickness, written_date
from stackopt.units import money

ALREADY_FITTED = "already fitted"


def sources_by_part(use: Sequence[Use]) -> dict[str, str]:
    """Name where the pieces of each part come from: ``shelf``, a supplier, an opened kit, or several of them."""
    sources: dict[str, list[str]] = defaultdict(list)
    for taken in use:
        sources[taken.part].append(taken.source)
    return {part: " and ".join(names) for part, names in sources.items()}


def piece_sources(cylinder: FittedCylinder, sources: Mapping[str, str]) -> tuple[str, ...]:
    """Say of each piece of a cylinder where it comes from; by its part alone where nobody gave the pieces out."""
    if not cylinder.sources:
        return tuple(sources.get(piece.part, ALREADY_FITTED) for piece in cylinder.pieces)
    return tuple(ALREADY_FITTED if source == FITTED else source for source in cylinder.sources)


def engine_title(engine: Engine) -> str:
    """Name an engine with its family and the day its parts are due."""
    due = f", parts due {written_date(engine.due)}" if engine.due else ""
    return f"{engine.name}, family {engine.family}{due}"


def fitted_table(
    engine: Engine, fitted: FittedEngine, supply: Supply, sources: Mapping[str, str]
) -> list[RenderableType]:
    """Return heading and table of one engine, some lines a cylinder: its pieces, then quench and ratio."""
    laid = table("cylinder", "", "", "from, or off the aim")
    for measured, cylinder in zip(engine.cylinders, fitted.cylinders, strict=True):
        rows = [
            *(_piece_row(*own, supply) for own in zip(cylinder.pieces, piece_sources(cylinder, sources), strict=True)),
            *(_work_row(work) for work in cylinder.work),
            *_measure_rows(measured, cylinder, supply),
            *(_figure_row(figure) for figure in cylinder.figures),
        ]
        for number, row in enumerate(rows):
            laid.add_row(cylinder.cylinder if number == 0 else "", *row, end_section=row is rows[-1])
    return [heading(engine_title(engine)), indented(laid)]


def _piece_row(piece: Piece, source: str, supply: Supply) -> Row:
    part = supply.parts[piece.part]
    stock = supply.stock.get(piece.part)
    where = (
        f", bin {stock.bin}"
        if stock is not None and stock.bin and SHELF in source
        else _day_words(piece, source, supply)
    )
    both = "; one piece for both" if part.covers > 1 else ""
    what = piece.part if part.kind is Kind.PISTON else f"{piece.part}, {thickness(part.thickness_mm)}"
    return str(piece.role), what, f"{source}{where}{both}"


def _day_words(piece: Piece, source: str, supply: Supply) -> str:
    """Say when a piece is here that another branch has to send."""
    lots = (each for each in supply.ordered if each.part == piece.part and each.branch)
    day = next((each.day for each in lots if coming_from(each.branch) == source), None)
    return "" if day is None else f", here {written_date(day)}"


def _work_row(work: Work) -> Row:
    return str(work.lever), both_lengths(work.amount_mm), work_price(work)


def work_price(work: Work) -> str:
    """Say what work costs, and where it goes across all cylinders at once."""
    if nothing_more(work):
        return "paid once for all cylinders"
    price = "no book states its price" if work.price_cents is None else money(work.price_cents)
    if work.per_engine:
        return f"{price}; for all cylinders together"
    return f"{price}; goes across all cylinders, paid once" if work.shared else price


def nothing_more(work: Work) -> bool:
    """Tell whether nothing more is to be paid for work that is paid once for all cylinders."""
    return (work.per_engine or work.shared) and work.price_cents == 0


def _measure_rows(measured: Cylinder, cylinder: FittedCylinder, supply: Supply) -> Iterator[Row]:
    """Yield quench and ratio, each with its spread, and the chance."""
    spread = cylinder_intervals(measured, cylinder, supply.parts)
    yield _quench_row(measured, cylinder, estimated=quench_estimated(cylinder, supply.parts))
    yield from interval_rows(spread.quench, 3, " mm")
    yield _ratio_row(measured, cylinder, estimated=ratio_estimated(cylinder, supply.parts))
    if cylinder.compression_ratio is not None:
        yield from interval_rows(spread.ratio, 2, "")
    yield chance_row(measured, cylinder)
    yield from doubt_rows(cylinder, cylinder_budget(measured, cylinder, supply.parts))


def _quench_row(measured: Cylinder, cylinder: FittedCylinder, *, estimated: bool) -> Row:
    off = "no quench band" if measured.quench is None else off_aim(cylinder.quench_mm, measured.quench, 3, " mm")
    return "quench", both_lengths(cylinder.quench_mm), _with_estimate(off, estimated)


def _ratio_row(measured: Cylinder, cylinder: FittedCylinder, *, estimated: bool) -> Row:
    if cylinder.compression_ratio is None:
        return "ratio", "not known", "no chamber volume stated"
    off = off_aim(cylinder.compression_ratio, measured.compression, 2)
    return "ratio", f"{cylinder.compression_ratio:.2f}", _with_estimate(off, estimated)


def _with_estimate(words: str, estimated: bool) -> str:
    return ", ".join(filter(None, (words, "an estimate" if estimated else "")))


def _figure_row(figure: Figure) -> Row:
    digits = 3 if figure.unit == "mm" else 2
    remark = ", ".join(words for words in ("an estimate" if figure.estimate else "", figure.remark) if words)
    return figure.name, f"{figure.value:.{digits}f} {figure.unit}".rstrip(), remark


def plan_table(
    pairs: Iterable[tuple[Engine, FittedEngine]], sources: Mapping[str, str], supply: Supply
) -> Iterator[RenderableType]:
    """Yield heading and table of every engine that can be finished, one line a cylinder."""
    laid = table("engine", "cylinder", "what goes on it", "quench", "ratio", right=("quench", "ratio"))
    for engine, fitted in pairs:
        for number, cylinder in enumerate(fitted.cylinders):
            named = map(_with_source, cylinder.pieces, piece_sources(cylinder, sources))
            pieces = " + ".join([*named, *(str(work) for work in cylinder.work)])
            name = engine.name if number == 0 else ""
            laid.add_row(name, cylinder.cylinder, pieces, *quench_and_ratio(cylinder, supply.parts))
    if laid.row_count:
        yield heading("What goes where (from the shelf where nothing else is said)")
        yield indented(laid)


def quench_and_ratio(cylinder: FittedCylinder, parts: Mapping[str, Part]) -> tuple[str, str]:
    """Return both figures as a line of a table has them; no ratio where none is known."""
    ratio = cylinder.compression_ratio
    return (
        figure_cell(f"{cylinder.quench_mm:.3f} mm", estimated=quench_estimated(cylinder, parts)),
        "" if ratio is None else figure_cell(f"{ratio:.2f}", estimated=ratio_estimated(cylinder, parts)),
    )


def _with_source(piece: Piece, source: str) -> str:
    return piece.part if source == SHELF else f"{piece.part} ({source})"
