"""What to buy: one table a supplier, with packs, prices, freight, and the day it is here."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from datetime import date, timedelta
from types import MappingProxyType

from rich.console import RenderableType
from rich.text import Text

from stackopt.choose.choice_records import NO_DUE_DATES, FittedEngine, Order, OrderLine, Use, Useful, Work
from stackopt.choose.coming import is_coming
from stackopt.parts.part_records import Supplier
from stackopt.report.answer.fitted import nothing_more
from stackopt.report.layout import heading, indented, table
from stackopt.report.wording import counted, written_date
from stackopt.units import money

NO_TERMS: Mapping[str, Supplier] = MappingProxyType({})
NUMBERS = ("packs", "pieces", "a pack", "sum")


def arrival(line: OrderLine, today: date) -> date:
    """Return the day a line is here when it is ordered today."""
    return today + timedelta(days=line.offer.lead_days)


def where_all_is(use: Iterable[Use]) -> str:
    """Say where all pieces are of which none is bought."""
    coming = any(is_coming(each.source) for each in use)
    return "all of it is here, under way or at another branch" if coming else "all of it is on the shelf"


def order_tables(
    orders: Sequence[Order],
    today: date,
    suppliers: Mapping[str, Supplier] = NO_TERMS,
    due: Mapping[str, date | None] = NO_DUE_DATES,
    use: Iterable[Use] = (),
) -> list[RenderableType]:
    """Return a table for each order, or one line that says there is nothing to buy.

    Lines that engines need say for which engines they are. With the supplier's terms among `suppliers`, a filler says
    why it is bought. With the `due` dates of engines, by name, an order says until when it can wait. Where nothing is
    bought, `use` tells whether all pieces are here.
    """
    if not orders:
        return [heading(f"Nothing to buy: {where_all_is(use)}")]
    laid = [item for order in orders for item in (*_order_table(order, today, suppliers, due), Text(""))][:-1]
    if len(orders) > 1:
        spend = sum(order.total_cents for order in orders)
        laid.append(Text(""))
        all_of_them = "Both orders" if len(orders) == 2 else f"All {counted(len(orders), 'order')}"
        laid.append(heading(f"{all_of_them} together: {money(spend)}"))
    return laid


def work_table(engines: Sequence[FittedEngine]) -> list[RenderableType]:
    """Return what is to be cut and put under cylinders, with its price; nothing where nothing is."""
    laid = table("engine", "cylinder", "work", "price", right=("price",))
    done = [(engine.engine, one, work) for engine in engines for one in engine.cylinders for work in one.work]
    for engine_name, cylinder, work in done:
        laid.add_row(engine_name, cylinder.cylinder, str(work), _price(work))
    sum_of_it = money(sum(work.price_cents or 0 for _, _, work in done))
    if any(work.price_cents is None for _, _, work in done):
        sum_of_it = f"{sum_of_it}, and what no book states"
    return [heading(f"Work to have done: {sum_of_it}"), indented(laid)] if done else []


def _price(work: Work) -> str:
    if nothing_more(work):
        return "paid once"
    return "not stated" if work.price_cents is None else money(work.price_cents)


def _order_table(
    order: Order, today: date, suppliers: Mapping[str, Supplier], due: Mapping[str, date | None]
) -> list[RenderableType]:
    laid = table("part", "their number", *NUMBERS, "here on", right=NUMBERS)
    for line in order.lines:
        offer = line.offer
        laid.add_row(
            offer.part,
            offer.supplier_part,
            str(line.packs),
            str(line.packs * offer.pack),
            money(offer.price_cents(line.packs)),
            money(line.line_cents),
            written_date(arrival(line, today)),
        )
    laid.add_row("freight", "", "", "", "", money(order.freight_cents))
    laid.add_row(Text("to pay", style="bold"), "", "", "", "", Text(money(order.total_cents), style="bold"))
    calls = [line.offer.part for line in order.lines if line.offer.special_order]
    note = [indented(Text(f"Special order, ask by telephone: {', '.join(calls)}"))] if calls else []
    words = [*_for_words(order, suppliers.get(order.supplier)), *_waiting_words(order, today, due)]
    whose = [indented(Text("\n".join(words)))]
    return [heading(f"Order from {order.supplier}"), indented(laid), *(whose if _is_for_engines(order) else []), *note]


def _waiting_words(order: Order, today: date, due: Mapping[str, date | None]) -> Iterator[str]:
    """Say until when an order can wait with nobody late, and the least that is saved if it goes with another."""
    yield from joining_words(order, today)
    last = order.order_by(due)
    if last is None or last <= today:
        return
    saved = f"; sent together with another order to {order.supplier} by then, {money(order.freight_cents)} less"
    alone = order.freight_cents and order.joining is None
    yield f"Can wait until {last:%A} {written_date(last)}, nobody late{saved if alone else ''}"


def joining_words(order: Order, today: date) -> Iterator[str]:
    """Say on which day an order can go together with one for the shelf, and the least that this saves."""
    if order.joining is None:
        return
    day, part, saved = order.joining.day, order.joining.part, money(order.joining.saved_cents)
    if day <= today:
        yield f"Order together with {part} for the shelf, which is due today: {saved} less than apart"
    else:
        yield (
            f"Order together on {day:%A} {written_date(day)}, {saved} less, nobody late: by then {part} is due for the "
            "shelf, as it is used"
        )


def _is_for_engines(order: Order) -> bool:
    """Tell whether some line of an order is for an engine; what fills the shelf alone is not."""
    return any(line.engines for line in order.lines)


def _for_words(order: Order, terms: Supplier | None) -> Iterator[str]:
    """Yield for whom each line is, and of what fills the order, why."""
    for line in order.lines:
        number = line.offer.part
        if line.engines:
            yield f"{number}: for {', '.join(line.engines)}"
        if line.filler_packs:
            packs = counted(line.filler_packs, "pack")
            yield f"{number}: {packs} for no engine{_use_words(line.useful)}, {_why_fill(order, terms)}"


def _use_words(useful: Useful) -> str:
    """Say what a filler is of use for beyond the engines, where that is known."""
    if useful.wanted:
        return ", to be reordered anyway"
    return f", used {useful.used_a_year:g} a year" if useful.used_a_year else ""


def _why_fill(order: Order, terms: Supplier | None) -> str:
    """Say what fillers of an order reach and save, from its sum without them and its supplier's terms."""
    needed_cents = sum(
        (line.packs - line.filler_packs) * line.offer.price_cents(line.packs - line.filler_packs)
        for line in order.lines
        if line.packs > line.filler_packs
    )
    if terms is not None and needed_cents < terms.minimum_order_cents:
        return f"so that the minimum order of {money(terms.minimum_order_cents)} is met"
    if terms is not None and terms.freight_cents > order.freight_cents:
        less = _less_words(needed_cents + terms.freight_cents - order.total_cents)
        return f"so that the freight of {money(terms.freight_cents)} is free{less}"
    return f"so that a lower price is reached{_less_words(needed_cents + order.freight_cents - order.total_cents)}"


def _less_words(saved_cents: int) -> str:
    return f": {money(saved_cents)} less than without" if saved_cents > 0 else ""
