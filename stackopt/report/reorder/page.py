"""What to reorder, on a terminal: what and why, the orders, what to ask about, and what to drop."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from datetime import date

from rich.console import Console, RenderableType
from rich.table import Table
from rich.text import Text

from stackopt.choose.records import Status
from stackopt.parts.records import ANY_FAMILY
from stackopt.report.answer.orders import order_tables
from stackopt.report.layout import captured_text, heading, indented, table
from stackopt.report.wording import counted, thickness
from stackopt.stocking.reorder.records import Ask, PartLine, Restock
from stackopt.units import money


def restock_text(console: Console, restock: Restock, today: date) -> str:
    """Return what to reorder as text for a console, a blank line after each section."""
    return captured_text(console, _sections(restock, today))


def _sections(restock: Restock, today: date) -> Iterator[list[RenderableType]]:
    ordered = [line for line in restock.parts if line.order_quantity]
    dropped = [line for line in restock.parts if line.drop]
    waiting = [line for line in restock.parts if line.waits]
    if restock.blocked:
        words = f"{counted(len(restock.blocked), 'open engine')} cannot be finished: {', '.join(restock.blocked)}"
        yield [heading(words, style="bold red")]
    if ordered:
        yield [heading("To order"), indented(_lines_table(ordered))]
        yield order_tables(restock.orders, today)
    else:
        yield [heading("Nothing to order: no part is due, and no open engine lacks any")]
    if restock.slower:
        yield [heading("Less money, but too late"), *(indented(Text(words)) for words in restock.slower)]
    if waiting:
        yield [heading("Due, but left for another day"), indented(_lines_table(waiting))]
    if restock.asks:
        yield [heading("To ask about"), indented(_asks_table(restock.asks))]
    if dropped:
        yield [heading("Proposed for dropping"), indented(_lines_table(dropped))]
    yield [Text(_proof_words(restock))]


def _lines_table(lines: Iterable[PartLine]) -> Table:
    laid = table("part", "order", "why", right=("order",))
    for line in lines:
        laid.add_row(line.part, str(line.order_quantity or ""), line.rule)
    return laid


def _asks_table(asks: Iterable[Ask]) -> Table:
    laid = table("pieces", "what", "fits", "for", right=("pieces",))
    for ask in asks:
        families = "any" if ANY_FAMILY in ask.families else ", ".join(ask.families)
        laid.add_row(str(ask.quantity), "\n".join(_ask_words(ask)), families, ask.purpose)
    return laid


def _ask_words(ask: Ask) -> Iterator[str]:
    yield str(ask.kind)
    if ask.thickness_mm is not None:
        low, high = ask.thickness_mm
        yield thickness(low) if low == high else f"{thickness(low)} to {thickness(high)}"
    if ask.opening_mm is not None:
        yield f"opening {ask.opening_mm:.1f} mm"


def _proof_words(restock: Restock) -> str:
    if restock.status is Status.PROVEN:
        return "No other orders cost less, freight, own work and keeping included: proven."
    off = money(round(restock.cost_cents - restock.bound_cents))
    return f"Best found: at most {off} dearer than the best possible, freight, own work and keeping included."
