"""What an owner asks first: how many can be built and when, what is blocked by what, what is late, what it costs."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from datetime import date, timedelta

from rich.console import RenderableType
from rich.text import Text

from stackopt.choose.choice_records import Order, OrderLine, Why
from stackopt.choose.why.explain import Answer
from stackopt.report.answer.orders import joining_words, where_all_is
from stackopt.report.layout import heading, indented, table
from stackopt.report.plan.lateness import Punctuality, Standing, standings
from stackopt.report.wording import counted, written_date
from stackopt.units import money

MOST_NAMED = 8


def overview(answer: Answer) -> list[RenderableType]:
    """Return heading and table of the whole plan in a few lines."""
    own = standings(answer)
    laid = table("", "", heads=False)
    laid.add_row("can be built", _built_words(own))
    laid.add_row("blocked", "\n".join(_blocked_words(own)))
    laid.add_row("late", "\n".join(_late_words(own)))
    laid.add_row("to pay", _money_words(answer))
    return [heading(f"The plan for {counted(len(own), 'engine')}"), indented(laid)]


def _built_words(own: list[Standing]) -> str:
    ready = [each for each in own if each.state is Punctuality.READY]
    days = sorted(each.day for each in own if each.state is Punctuality.WAITS and each.day is not None)
    if not ready and not days:
        return "none"
    later = f", {len(days)} later, the last on {written_date(days[-1])}" if days else ""
    return f"{len(ready) + len(days)} of {len(own)}: {len(ready)} today{later}"


def _blocked_words(own: list[Standing]) -> Iterator[str]:
    blocked = [each for each in own if each.state is Punctuality.BLOCKED]
    if not blocked:
        yield "none"
        return
    later = sum(each.day is not None for each in blocked)
    waiting = f"; {later} of them can be built on a later day" if later else ""
    yield f"{len(blocked)}{waiting}"
    causes: dict[str, list[str]] = {}
    for each in blocked:
        causes.setdefault(each.cause, []).append(each.engine)
    for cause, names in causes.items():
        yield f"{_named(names)}: {cause}"


def _late_words(own: list[Standing]) -> Iterator[str]:
    late = sorted((each for each in own if each.is_late), key=lambda each: -each.late_days)
    if not late:
        yield "none"
    for each in late[:MOST_NAMED]:
        yield f"{each.engine} by {counted(each.late_days, 'day')}: {_lateness(each)}"
    if len(late) > MOST_NAMED:
        yield f"and {len(late) - MOST_NAMED} more, marked below"


def _lateness(each: Standing) -> str:
    due = "" if each.due is None else f"parts due {written_date(each.due)}"
    if each.day is None:
        return f"{due}, and no day is known"
    return f"{due}, {'can be ready' if each.state is Punctuality.BLOCKED else 'ready'} on {written_date(each.day)}"


def _money_words(answer: Answer) -> str:
    orders, spend_cents = answer.choice.orders, answer.choice.spend_cents
    work_cents = spend_cents - sum(order.total_cents for order in orders)
    parts = [f"{order.supplier} {money(order.total_cents)}" for order in orders]
    parts += [f"work {money(work_cents)}"] if work_cents else []
    return f"{money(spend_cents)}: {', '.join(parts)}" if parts else f"nothing: {where_all_is(answer.choice.use)}"


def _named(names: list[str]) -> str:
    more = len(names) - MOST_NAMED
    return ", ".join(names[:MOST_NAMED]) + (f" and {more} more" if more > 0 else "")


def engines_table(answer: Answer) -> list[RenderableType]:
    """Return heading and table of a line an engine: its state, its days, and where its pieces come from."""
    laid = table("engine", "state", "due", "ready on", "late", "its pieces come from", right=("late",))
    for each in standings(answer):
        laid.add_row(
            each.engine,
            each.state,
            "" if each.due is None else written_date(each.due),
            _ready_words(each),
            counted(each.late_days, "day") if each.is_late else "",
            each.origin,
        )
    return [heading("Engine by engine"), indented(laid)]


def _ready_words(each: Standing) -> str:
    if each.state is Punctuality.READY:
        return "today"
    return "" if each.day is None else written_date(each.day)


def orders_in_short(answer: Answer) -> list[RenderableType]:
    """Return heading and table of a line an order: what, for how much, and when the last of it is here."""
    orders, today = answer.choice.orders, answer.request.today
    if not orders:
        return [heading(f"Nothing to buy: {where_all_is(answer.choice.use)}")]
    laid = table("order from", "packs of", "to pay", "all here on", "order by", right=("to pay",))
    for order in orders:
        laid.add_row(
            order.supplier,
            _lines_words(order),
            money(order.total_cents),
            written_date(_last_day(order, today)),
            "" if (last := order.order_by(answer.due_dates)) is None else written_date(last),
        )
    spend = money(sum(order.total_cents for order in orders))
    words = [f"{order.supplier}: {said}" for order in orders for said in joining_words(order, today)]
    return [
        heading(f"What to order: {counted(len(orders), 'order')}, {spend} with freight"),
        indented(laid),
        *([indented(Text("\n".join(words)))] if words else []),
    ]


def _lines_words(order: Order) -> str:
    packs: Counter[str] = Counter()
    for line in order.lines:
        packs[_line_name(line)] += line.packs
    return ", ".join(f"{number} × {name}" for name, number in packs.items())


def _line_name(line: OrderLine) -> str:
    special = " (special order)" if line.offer.special_order else ""
    return f"{line.offer.part}{special}{' (fills the order)' if line.why is Why.FILLER else ''}"


def _last_day(order: Order, today: date) -> date:
    return today + timedelta(days=max(line.offer.lead_days for line in order.lines))
