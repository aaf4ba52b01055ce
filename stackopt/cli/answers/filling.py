"""Where `fit` and `plan` read the shelf with which their orders are filled up; the filling itself is `stocking`'s."""

from __future__ import annotations

from typing import TYPE_CHECKING

from stackopt.choose.choice_records import Choice, Request
from stackopt.choose.model.filled import filled_suppliers
from stackopt.cli.sources.ledger_source import LedgerSource
from stackopt.cli.sources.source import PartsSource

if TYPE_CHECKING:
    from stackopt.stocking.filling import WholeShelf
    from stackopt.stocking.reorder.useful import ShelfAhead


def filled_from(request: Request, choice: Choice, source: PartsSource) -> Choice:
    """Return a choice that costs the same, its orders filled with what the shelf of a source wants."""
    if not filled_suppliers(choice):
        return choice
    from stackopt.stocking.filling import filled_for_the_shelf  # noqa: PLC0415 - seldom needed, a room

    return filled_for_the_shelf(request, choice, _shelf(source))


def joined_from(request: Request, choice: Choice, source: PartsSource) -> Choice:
    """Return a choice whose orders say when they can go together with one for the shelf of a source."""
    if len(request.engines) < 2 or not source.usage:
        return choice
    from stackopt.stocking.filling import joined_for_the_shelf  # noqa: PLC0415 - as above

    return joined_for_the_shelf(request, choice, _shelf(source))


def _shelf(source: PartsSource) -> WholeShelf:
    from stackopt.stocking.filling import WholeShelf  # noqa: PLC0415 - as above

    where = source.where if isinstance(source, LedgerSource) else None
    return WholeShelf(lambda: source.supply, lambda: _history(source), where)


def _history(source: PartsSource) -> ShelfAhead:
    """Return what left the shelf, and how late orders came: books do not know that."""
    from stackopt.stocking.reorder.useful import ShelfAhead  # noqa: PLC0415 - as above

    deliveries = source.ledger.deliveries(source.today) if isinstance(source, LedgerSource) else ()
    return ShelfAhead(source.usage, deliveries=deliveries)
