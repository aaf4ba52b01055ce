"""What the builder holds in his hand, with every limit; and which head gasket every base at hand needs."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

from rich.console import RenderableType

from stackopt.choose.tried.hand import is_listed
from stackopt.choose.tried.heads import HeadNeeded
from stackopt.choose.tried.needed import Needs
from stackopt.choose.tried.stacks import NEEDED, Tried
from stackopt.engine.cautions import Units
from stackopt.engine.effects.figures import Figure
from stackopt.parts.part_records import Part
from stackopt.report.layout import heading, indented, table
from stackopt.report.wording import both_lengths, chance, thickness

MOST_LISTED = 3


def tried_section(tried: Sequence[Tried], parts: Mapping[str, Part], units: Units = Units.MM) -> list[RenderableType]:
    """Return heading and table of what comes out of each stack in the hand."""
    laid = table("cylinder", "", "")
    for one in tried:
        rows = list(tried_rows(one, parts, units))
        for number, row in enumerate(rows):
            laid.add_row(one.cylinder if number == 0 else "", *row, end_section=row is rows[-1])
    return [heading("What you hold in your hand"), indented(laid)] if tried else []


def tried_rows(one: Tried, parts: Mapping[str, Part], units: Units = Units.MM) -> Iterator[tuple[str, str]]:
    """Yield what a stack in the hand is, what comes out of it and whether it does, each as what and how much."""
    for part in one.pieces:
        named = f"{part.number}, " if is_listed(part, parts) or part.number == NEEDED else ""
        yield str(part.kind), f"{named}{thickness(part.thickness_mm)}"
    if one.needs is not None:
        yield from _needed_rows(one.needs, units)
    if one.quench_mm is not None:
        yield "quench", both_lengths(one.quench_mm)
        yield "ratio", "not known" if one.compression_ratio is None else f"{one.compression_ratio:.2f}"
        yield "chance", _chance_words(one)
    yield from ((figure.name, _figure_words(figure)) for figure in one.figures)
    if one.inside:
        yield "does it do", "yes, inside all limits"
    for number, words in enumerate(one.broken):
        yield "" if number else "does it do", f"no: {words}" if number == 0 else words
    if one.needs is None:
        yield "on the shelf", "all of it is free" if one.free else "not all of it is free there"


def _chance_words(one: Tried) -> str:
    left_out = f"; left out: {', '.join(one.left_out)}" if one.left_out else ""
    if one.chance_in_window is None:
        return f"not known{left_out}"
    return f"{chance(one.chance_in_window)} (an estimate{left_out})"


def _figure_words(figure: Figure) -> str:
    return str(figure).removeprefix(f"{figure.name} ")


def _needed_rows(needs: Needs, units: Units) -> Iterator[tuple[str, str]]:
    yield f"{needs.role} for the aim", "none" if needs.aim_mm is None else both_lengths(needs.aim_mm)
    yield "inside all limits", runs_words(needs, units)
    yield "on the shelf or offered", listed_words(needs)


def runs_words(needs: Needs, units: Units = Units.MM, between: str = " or ") -> str:
    """Write the runs of thickness inside all limits, rounded so that their ends still do."""
    from stackopt.report.answer.blocked import one_run  # noqa: PLC0415 - its module is for answers that need more words

    return between.join(one_run(run, units) for run in needs.inside_mm) or "none"


def listed_words(needs: Needs) -> str:
    """Name the parts that do, the nearest to the aim first."""
    named = [f"{part.number}, {thickness(part.thickness_mm)}" for part in needs.listed[:MOST_LISTED]]
    more = len(needs.listed) - MOST_LISTED
    return "; ".join(named) + (f"; {more} more" if more > 0 else "") if named else "nobody lists one"


def heads_section(heads: Sequence[HeadNeeded], units: Units = Units.MM) -> list[RenderableType]:
    """Return heading and table of which head gasket every base at hand needs."""
    whole = ("for the aim", "inside all limits")
    laid = table("cylinder", "with this base", *whole, "on the shelf or offered", whole=whole)
    before = ""
    for one in heads:
        needs, name = one.needs, "" if one.cylinder == before else one.cylinder
        aim = "none" if needs.aim_mm is None else f"{needs.aim_mm:.3f} mm"
        laid.add_row(name, " + ".join(one.base), aim, runs_words(needs, units, "\nor "), listed_words(needs))
        before = one.cylinder
    return [heading("Which head gasket each base on the shelf needs"), indented(laid)] if heads else []
