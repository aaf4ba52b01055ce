"""Orders of `fit` and `plan` that are filled up: with what the shelf wants most, of all that costs the same."""

from __future__ import annotations

from typing import TYPE_CHECKING

from stackopt.choose.model.filled import filled_suppliers
from stackopt.choose.records import Choice, Request
from stackopt.cli.sources.ledger_source import LedgerSource
from stackopt.cli.sources.review_days import review_days
from stackopt.cli.sources.source import PartsSource

if TYPE_CHECKING:
    from stackopt.stocking.reorder.useful import ShelfAhead


def filled_for_the_shelf(request: Request, choice: Choice, source: PartsSource) -> Choice:
    """Return a choice that costs the same, its orders filled as `restock` would fill the shelf.

    The whole shelf is only looked at where an order is filled up at all.
    """
    if not filled_suppliers(choice):
        return choice
    from stackopt.stocking.reorder.useful import fill_usefully  # noqa: PLC0415 - seldom needed, thirty modules

    return fill_usefully(request, source.supply, choice, _shelf(source))


def _shelf(source: PartsSource) -> ShelfAhead:
    """Return what is known of the shelf; books know neither when it is looked at nor how late orders came."""
    from stackopt.stocking.reorder.records import Policy  # noqa: PLC0415 - as above
    from stackopt.stocking.reorder.useful import ShelfAhead  # noqa: PLC0415

    if not isinstance(source, LedgerSource):
        return ShelfAhead(source.usage)
    review = review_days(None, Policy().review_days, source.where)
    return ShelfAhead(source.usage, Policy(review_days=review.days), source.ledger.deliveries(source.today))
