"""An order that waits for one for the shelf: until the day on which the shelf's part falls to its reorder point."""

from __future__ import annotations

from datetime import timedelta

import pytest

from stackopt.choose.choice_records import Choice, Joining, Order, OrderLine, Request, Status
from stackopt.engine.engine_records import Cylinder, Engine, Window
from stackopt.parts.part_records import StockLine, Supplier
from stackopt.stocking.joining import ordered_together
from stackopt.stocking.reorder.useful import ShelfAhead
from tests.stocking.situations import TODAY, offer, supply, used

# Every ten days one piece leaves: with a minimum of 2 and so many on hand it is due after ten days for each above 2.
STEADY = used("SHELF", *range(1, 731, 10))


def joining(on_hand: int, due_in: int, *, lead_days: int = 5, freight: int = 900) -> Joining | None:
    """Return what is said of an order for one engine, whose supplier sends a part of the shelf as well."""
    stock = [StockLine("SHELF", on_hand, minimum=2, maximum=8)]
    sold = [offer("SHELF", 500), offer("ENGINE", 700, lead_days=lead_days)]
    cylinder = Cylinder("single", 82.0, 78.0, 0.0, 46.0, 2.0, quench=Window(0.8, 1.0))
    engine = Engine("J-1", "A", (cylinder,), due=TODAY + timedelta(due_in))
    order = Order("Bergmann", freight, (OrderLine(sold[1], 1, ("J-1",)),))
    choice = Choice(Status.PROVEN, (), (), (), (order,))
    situation = supply(stock, sold, Supplier("Bergmann", freight))
    return ordered_together(Request((engine,), TODAY), situation, choice, ShelfAhead(STEADY)).orders[0].joining


@pytest.mark.parametrize(("on_hand", "days"), [(3, 10), (4, 20)])
def test_the_order_can_wait_until_the_shelf_wants_something_of_the_same_supplier(on_hand: int, days: int) -> None:
    """Freight is paid once instead of twice: 9.00 less, and the part is here five days later, before the due date."""
    found = joining(on_hand, due_in=40)
    assert found is not None
    assert abs((found.day - TODAY).days - days) <= 1
    assert (found.part, found.saved_cents) == ("SHELF", 900)


def test_what_is_due_today_goes_along_today() -> None:
    found = joining(on_hand=2, due_in=40)
    assert found is not None
    assert found.day == TODAY


def test_nobody_is_late_for_it() -> None:
    """Sent after ten days it takes five more: a due date in sixteen days allows it, one in twelve does not."""
    assert joining(on_hand=3, due_in=16) is not None
    assert joining(on_hand=3, due_in=12) is None


def test_without_freight_there_is_nothing_to_save() -> None:
    assert joining(on_hand=3, due_in=40, freight=0) is None
