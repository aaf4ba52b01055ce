"""When an order can go together with what the shelf will want of the same supplier: one freight instead of two."""

from __future__ import annotations

import math
from collections.abc import Mapping
from datetime import date, timedelta

from msgspec.structs import replace

from stackopt.choose.choice_records import Choice, Joining, Order, Request
from stackopt.parts.part_records import Supply
from stackopt.stocking.demand.demand_records import DAYS_PER_YEAR
from stackopt.stocking.reorder.useful import ShelfAhead, wanted_of
from stackopt.stocking.reorder.wants import Want


def ordered_together(request: Request, supply: Supply, choice: Choice, shelf: ShelfAhead) -> Choice:
    """Return a choice whose orders say on which day they can go together with one for the shelf, nobody late.

    Only orders with freight, of suppliers whose parts the shelf takes, that can wait until the first of these is due.

    Parameters
    ----------
    request, choice
        What was asked, and what was chosen.
    supply
        All parts, and all that is listed.
    shelf
        What is known of the shelf.
    """
    due = {engine.name: engine.due for engine in request.engines}
    last = {order.supplier: order.order_by(due) for order in choice.orders if order.freight_cents}
    waiting = {name: day for name, day in last.items() if day is not None and day >= request.today}
    if not waiting:
        return choice
    wanted = wanted_of(request, supply, choice, shelf, waiting)
    orders = (_joined(order, wanted, request.today, waiting) for order in choice.orders)
    return replace(choice, orders=tuple(orders))


def _joined(order: Order, wanted: Mapping[str, Want], today: date, waiting: Mapping[str, date]) -> Order:
    """Return an order with the first day on which a part of the shelf is due that its supplier usually sends."""
    if order.supplier not in waiting:
        return order
    own = (want for want in wanted.values() if want.point.lot and want.point.lot.offer.supplier == order.supplier)
    days = [(day, want.part) for want in own if (day := _due_on(want, today)) is not None]
    if not days or min(days)[0] > waiting[order.supplier]:
        return order
    day, part = min(days)
    return replace(order, joining=Joining(day, part, order.freight_cents))


def _due_on(want: Want, today: date) -> date | None:
    """Return the day on which a part falls to its reorder point at the rate expected; None where nobody can tell."""
    if want.due and not want.lacking:
        return today
    rate = 0.0 if want.point.demand is None else want.point.demand.pieces_per_year
    if not want.point.kept or want.due or rate <= 0:
        return None
    days = math.ceil((want.position - want.point.reorder_point) / rate * DAYS_PER_YEAR)
    return today + timedelta(days) if days <= DAYS_PER_YEAR else None
