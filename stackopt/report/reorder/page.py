"""What to reorder, on a terminal: what and why, the orders, what to ask about, and what to drop."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from datetime import date

from rich.console import Console, RenderableType
from rich.table import Table
from rich.text import Text

from stackopt.parts.part_records import ANY_FAMILY
from stackopt.report.answer.orders import order_tables
from stackopt.report.layout import captured_text, heading, indented, table
from stackopt.report.reorder.words import proof_words, runs_out_words, service_heading
from stackopt.report.wording import counted, thickness
from stackopt.stocking.demand.service import KeptService
from stackopt.stocking.reorder.restock_records import Ask, PartLine, Restock
from stackopt.units import money


def restock_text(console: Console, restock: Restock, today: date, *, review_stated: bool = True) -> str:
    """Return what to reorder as text for a console, a blank line after each section.

    `review_stated` is whether the shop said how many days pass between two checks of its shelf.
    """
    asked = [] if review_stated or not any(line.model for line in restock.parts) else [[_review_words(restock)]]
    return captured_text(console, [*_sections(restock, today), *asked])


def _review_words(restock: Restock) -> RenderableType:
    return Text(
        f"Counted as if somebody looks at the shelf every {restock.review_days} days; say how often your shop does: "
        "--review-days DAYS."
    )


def _sections(restock: Restock, today: date) -> Iterator[list[RenderableType]]:
    ordered = [line for line in restock.parts if line.order_quantity]
    idle = [line for line in restock.parts if line.drop or line.idle_pieces]
    waiting = [line for line in restock.parts if line.waits]
    if restock.blocked:
        words = f"{counted(len(restock.blocked), 'open engine')} cannot be finished: {', '.join(restock.blocked)}"
        yield [heading(words, style="bold red")]
    if ordered:
        yield [heading("To order, what runs out first before the others"), indented(_orders_table(ordered, today))]
        yield order_tables(restock.orders, today)
    else:
        yield [heading("Nothing to order: no part is due, and no open engine lacks any")]
    if restock.slower:
        yield [heading("Less money, but too late"), *(indented(Text(words)) for words in restock.slower)]
    if waiting:
        yield [heading("Due, but left for another day"), indented(_lines_table(waiting))]
    if restock.asks:
        yield [heading("To ask about"), indented(_asks_table(restock.asks))]
    if restock.service:
        yield [heading(service_heading(restock.service)), indented(_service_table(restock.service))]
    if idle:
        cents = sum(line.idle_cents for line in idle)
        words = f"Dead stock: {money(cents)} lie idle" if cents else "Dead stock"
        yield [heading(words), indented(_idle_table(idle))]
    yield [Text(proof_words(restock))]


def _orders_table(lines: Iterable[PartLine], today: date) -> Table:
    laid = table("part", "order", "runs out", "why", right=("order",))
    for line in lines:
        words = f"{line.rule}\nwhy {line.order_quantity}: {line.quantity_rule}" if line.quantity_rule else line.rule
        laid.add_row(line.part, str(line.order_quantity), runs_out_words(line, today), words)
    return laid


def _idle_table(lines: Iterable[PartLine]) -> Table:
    laid = table("part", "idle", "worth", "why", right=("idle", "worth"))
    for line in sorted(lines, key=lambda each: (-each.idle_cents, each.part)):
        worth = money(line.idle_cents) if line.idle_cents else ""
        rule = line.idle_rule if not line.drop else ", ".join(filter(None, [line.rule, line.idle_rule]))
        laid.add_row(line.part, str(line.idle_pieces or ""), worth, rule)
    return laid


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


def _service_table(service: Iterable[KeptService]) -> Table:
    laid = table("part", "from", "lasted", "95 % interval", "asked", "", right=("lasted", "95 % interval", "asked"))
    for each in sorted(service, key=lambda one: (not one.falls_short, one.part)):
        interval = f"{100 * each.low:.0f} to {100 * each.high:.0f} %"
        warning = "keep more" if each.falls_short else ""
        bridged = f"{each.bridged} of {each.lead_times}"
        laid.add_row(each.part, each.supplier, bridged, interval, f"{100 * each.asked:g} %", warning)
    return laid
