"""Orders of `fit` and `plan` that are filled up: with what the shelf wants most, of all that costs the same."""

from __future__ import annotations

from stackopt.books.facts.records import Books
from stackopt.choose.records import Choice, Request
from stackopt.choose.solve.filled import filled_suppliers
from stackopt.cli.sources.ledger_source import LedgerSource
from stackopt.cli.sources.review_days import review_days
from stackopt.stocking.reorder.records import Policy
from stackopt.stocking.useful import Shelf, fill_usefully


def filled_for_the_shelf(request: Request, choice: Choice, source: Books | LedgerSource) -> Choice:
    """Return a choice that costs the same, its orders filled as `restock` would fill the shelf.

    The whole shelf is only looked at where an order is filled up at all.
    """
    if not filled_suppliers(choice):
        return choice
    if not isinstance(source, LedgerSource):
        return fill_usefully(request, source.supply, choice, Shelf(source.usage))
    ledger, review = source.ledger, review_days(None, Policy().review_days, source.where)
    supply = ledger.supply(asking=source.asking, today=source.today)
    shelf = Shelf(ledger.usage(), Policy(review_days=review.days), ledger.deliveries(source.today))
    return fill_usefully(request, supply, choice, shelf)
