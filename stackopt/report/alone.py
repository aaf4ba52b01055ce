"""Who would have got something better alone, and why another engine got it."""

from __future__ import annotations

from collections.abc import Sequence

from rich.console import RenderableType
from rich.table import Table
from rich.text import Text

from stackopt.choose.alone import MOST_ENGINES, Alone, Holder
from stackopt.choose.explain import Answer
from stackopt.choose.records import FittedEngine
from stackopt.report.layout import heading, indented, table
from stackopt.report.proof import WORDINGS
from stackopt.report.wording import counted

TOO_MANY = (
    f"With more than {MOST_ENGINES} engines it is not worked out for each what it would have got alone: "
    "stackopt fit ENGINE tells it."
)


def alone_table(answer: Answer) -> list[RenderableType]:
    """Return heading and table of the engines that would have got something better alone, with the reason."""
    engines = len(answer.choice.engines)
    if engines > MOST_ENGINES:
        return [indented(Text(TOO_MANY))]
    if not answer.alone:
        return []
    laid = table("engine", "cylinder", "alone it would get", "quench", "why it does not")
    for fitted in answer.choice.engines:
        if fitted.engine in answer.alone:
            _add_rows(laid, fitted, answer.alone[fitted.engine])
    rest = engines - len(answer.alone) - sum(each.engine not in answer.alone for each in answer.choice.blocked)
    shown: list[RenderableType] = [heading("What would have been better for one alone"), indented(laid)]
    if rest:
        shown += [Text(""), indented(Text(f"The other {counted(rest, 'engine')} would get nothing better alone."))]
    return shown


def _add_rows(laid: Table, fitted: FittedEngine, alone: Alone) -> None:
    gets = {cylinder.cylinder: cylinder.pieces for cylinder in fitted.cylinders}
    changed = [each for each in alone.fitted.cylinders if gets.get(each.cylinder) != each.pieces]
    for number, cylinder in enumerate(changed or alone.fitted.cylinders):
        laid.add_row(
            fitted.engine if number == 0 else "",
            cylinder.cylinder,
            " + ".join(piece.part for piece in cylinder.pieces),
            f"{cylinder.quench_mm:.3f}",
            why_not(alone) if number == 0 else "",
        )


def why_not(alone: Alone) -> str:
    """Say who has the better pieces, and what it would cost to give them to this engine."""
    words = [f"the last {part} {_goes_to(holders)}" for part, holders in alone.held.items() if holders]
    return "; ".join([*words, f"else {_price(alone)}"])


def _goes_to(holders: Sequence[Holder]) -> str:
    only = [holder.engine for holder in holders if holder.nothing_else]
    verb = "goes to" if len(only or holders) == 1 else "go to"
    names = " and ".join(only or [holder.engine for holder in holders])
    return f"{verb} {names}, which can use nothing else" if only else f"{verb} {names}"


def _price(alone: Alone) -> str:
    if alone.blocked_then:
        return f"{' and '.join(alone.blocked_then)} could not be finished"
    if not alone.lost_on:
        return "nothing is gained over all engines"
    wording = WORDINGS[alone.lost_on]
    return f"over all engines: {wording.more.format(wording.write(alone.by))}"
