"""The shelf before and after a plan, on sums written out."""

from __future__ import annotations

import pytest

from stackopt.choose.records import SHELF, Choice, Order, OrderLine, Status, Use
from stackopt.choose.solve.plan import plan
from stackopt.choose.why.shelf_after import ShelfChange, shelf_changes
from stackopt.parts.records import Kit, Offer, PriceTier, StockLine, Supply
from tests.choose.situations import random_situation

STOCK = {"B": StockLine("B", 3, reserved=1), "K": StockLine("K", 1)}
SET = Kit("K", {"B": 2, "H": 1, "S": 1})


def choice(use: tuple[Use, ...], *lines: OrderLine) -> Choice:
    return Choice(Status.PROVEN, (), (), use, (Order("North", 0, lines),) if lines else ())


def test_what_is_left_of_a_pack_goes_to_the_shelf() -> None:
    """Free 3 - 1 = 2; two packs of 4 bring 8, of which 3 are used, and 1 comes from the shelf: 2 + 8 - 4 = 6."""
    line = OrderLine(Offer("North", "B", (PriceTier(1, 100),), pack=4), 2)
    taken = (Use("B", SHELF, 1), Use("B", "North", 3))
    assert shelf_changes(choice(taken, line), Supply(stock=STOCK)) == (ShelfChange("B", 2, 6),)


def test_an_opened_kit_leaves_the_shelf_and_its_rest_stays() -> None:
    """The kit holds 2 B, 1 H, 1 S; 1 B and 1 H are used: one B more than before, one S, no kit."""
    taken = (Use("K", SHELF, 1), Use("B", "K", 1), Use("H", "K", 1))
    assert shelf_changes(choice(taken), Supply(stock=STOCK, kits={"K": SET})) == (
        ShelfChange("B", 2, 3),
        ShelfChange("H", 0, 0),
        ShelfChange("K", 1, 0),
        ShelfChange("S", 0, 1),
    )


def test_a_bought_kit_leaves_its_rest() -> None:
    line = OrderLine(Offer("North", "K", (PriceTier(1, 100),)), 1)
    changes = shelf_changes(choice((Use("B", "North", 2),), line), Supply(stock=STOCK, kits={"K": SET}))
    assert changes == (ShelfChange("B", 2, 2), ShelfChange("H", 0, 1), ShelfChange("S", 0, 1))


@pytest.mark.parametrize("seed", range(60))
def test_nothing_is_left_below_nought(seed: int) -> None:
    request, supply = random_situation(seed)
    assert all(change.after >= 0 for change in shelf_changes(plan(request, supply), supply))
