"""Orders filled up with what the shelf wants most of all that costs the same, for the commands and for the page."""

from __future__ import annotations

from collections.abc import Callable

from msgspec import Struct
from msgspec.structs import replace

from stackopt.choose.choice_records import Choice, Request
from stackopt.choose.model.filled import filled_suppliers
from stackopt.parts.part_records import Supply
from stackopt.stocking.joining import ordered_together
from stackopt.stocking.reorder.restock_records import Policy
from stackopt.stocking.reorder.useful import ShelfAhead, fill_usefully
from stackopt.stocking.review_days import review_days


class WholeShelf(Struct, frozen=True):
    """Where all that is known of the shelf is read; it is only read where an order is filled up at all.

    `history` gives what left the shelf and how late orders came. `ledger` is where the ledger lies, beside which the
    shop's own days between two checks stand; None where books are read.
    """

    supply: Callable[[], Supply]
    history: Callable[[], ShelfAhead]
    ledger: str | None = None


def shops_policy(ledger: str | None) -> Policy:
    """Return how the shop reorders: the usual way, with its own days between two checks of the shelf.

    Raises
    ------
    InputError
        When what it said of these days cannot be read.
    """
    return Policy(review_days=review_days(None, Policy().review_days, ledger).days)


def filled_for_the_shelf(request: Request, choice: Choice, shelf: WholeShelf) -> Choice:
    """Return a choice that costs the same, its orders filled as `restock` would fill the shelf.

    Raises
    ------
    InputError
        As `shops_policy`, and when the shelf cannot be read.
    """
    if not filled_suppliers(choice):
        return choice
    return fill_usefully(request, shelf.supply(), choice, _ahead(shelf))


def joined_for_the_shelf(request: Request, choice: Choice, shelf: WholeShelf) -> Choice:
    """Return a choice for several engines whose orders with freight say when they can go together with the shelf's.

    Raises
    ------
    InputError
        As `filled_for_the_shelf`.
    """
    if len(request.engines) < 2 or not any(order.freight_cents for order in choice.orders):
        return choice
    ahead = _ahead(shelf)
    return ordered_together(request, shelf.supply(), choice, ahead) if ahead.usage else choice


def _ahead(shelf: WholeShelf) -> ShelfAhead:
    return replace(shelf.history(), policy=shops_policy(shelf.ledger))
