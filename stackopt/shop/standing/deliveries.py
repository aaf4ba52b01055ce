"""How long orders took, and whether an engine had to wait for a part meanwhile."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Mapping, Sequence
from datetime import date

from stackopt.shop.database.acts import Act
from stackopt.shop.database.snapshot import Snapshot
from stackopt.shop.standing.order_reading import read_orders
from stackopt.shop.standing.placed import OrderStep, PlacedOrder, day_of
from stackopt.stocking.demand.leads import Delivery

# Days on which an engine was promised pieces that were not there, by part; with the order that was to bring them.
Waits = Mapping[str, Sequence[tuple[date, int]]]


def read_deliveries(snapshot: Snapshot, today: date) -> tuple[Delivery, ...]:
    """Return every line of the orders that were sent, those still to come counted up to today.

    A line is here once nothing of its part is outstanding.
    """
    arrived = {
        (number, part): day_of(at)
        for number, part, at in snapshot.rows(
            "SELECT purchase, part, MAX(at) FROM movement JOIN event ON event.id = movement.event "
            f"WHERE act = '{Act.ARRIVED}' GROUP BY purchase, part",
            {},
        )
    }
    waits = _waits(snapshot)
    placed = [order for order in read_orders(snapshot) if not (order.is_listed or order.is_transfer)]
    sent = [order for order in placed if order.step is OrderStep.SENT and order.sent_on is not None]
    return tuple(delivery for order in sent for delivery in _deliveries(order, arrived, waits, today))


def _waits(snapshot: Snapshot) -> Waits:
    waits: dict[str, list[tuple[date, int]]] = defaultdict(list)
    rows = snapshot.rows(
        "SELECT part, at, purchase FROM movement JOIN event ON event.id = movement.event "
        f"WHERE act = '{Act.PROMISED}' AND quantity > 0",
        {},
    )
    for part, at, number in rows:
        waits[part].append((day_of(at), number))
    return waits


def _deliveries(
    order: PlacedOrder, arrived: Mapping[tuple[int, str], date], waits: Waits, today: date
) -> Iterator[Delivery]:
    sent_on = order.sent_on
    assert sent_on is not None
    for line in order.lines:
        here = arrived.get((order.number, line.part))
        is_here = here is not None and not order.outstanding.get(line.part)
        last = here if here is not None and is_here else today
        if last < sent_on:  # it was told as sent on a later day than it came
            continue
        own = waits.get(line.part, ())
        for_shelf = not any(number == order.number and day <= sent_on for day, number in own)
        bridged = not any(sent_on < day <= last for day, _ in own) if for_shelf and is_here else None
        yield Delivery(order.supplier, line.part, line.lead_days, (last - sent_on).days, is_here, bridged)
