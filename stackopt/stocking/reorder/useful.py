"""What parts are of use for beyond the engines of a plan, so that an order is filled with what the shelf wants."""

from __future__ import annotations

from collections import Counter
from collections.abc import Collection, Iterable
from datetime import timedelta

from msgspec import Struct
from msgspec.structs import replace

from stackopt.choose.choice_records import Choice, Request, Useful
from stackopt.choose.model.filled import filled_suppliers, usefully_filled
from stackopt.parts.part_records import Supply, Usage
from stackopt.stocking.demand.demand_records import DAYS_PER_YEAR
from stackopt.stocking.demand.leads import Delivery, lateness
from stackopt.stocking.reorder.needs import engine_needs
from stackopt.stocking.reorder.points import reorder_points
from stackopt.stocking.reorder.restock_records import Policy
from stackopt.stocking.reorder.succession import needs_under_newest, newest_numbers, pieces_under_newest
from stackopt.stocking.reorder.wants import Want, wants


class ShelfAhead(Struct, frozen=True):
    """What is known of the shelf: how fast parts leave it, when it is filled up, and how late orders come."""

    usage: Iterable[Usage] = ()
    policy: Policy = Policy()
    deliveries: Iterable[Delivery] = ()


def fill_usefully(request: Request, supply: Supply, choice: Choice, shelf: ShelfAhead) -> Choice:
    """Return a choice that costs the same, its orders filled with what the shelf wants most.

    Parameters
    ----------
    request, choice
        What was asked, and what was chosen.
    supply
        All parts, and all that is listed.
    shelf
        What is known of the shelf.
    """
    names = filled_suppliers(choice)
    if not names:
        return choice
    return usefully_filled(choice, supply, useful_parts(request, supply, choice, shelf, names))


def useful_parts(
    request: Request, supply: Supply, choice: Choice, shelf: ShelfAhead, suppliers: Collection[str]
) -> dict[str, Useful]:
    """Return what the parts that some suppliers list are of use for, once all that a choice orders for engines is here.

    What `restock` would order for the shelf is wanted; then what left it within a year counts.
    """
    since = request.today - timedelta(DAYS_PER_YEAR)
    used = Counter[str]()
    for entry in shelf.usage:
        used[entry.part] += entry.quantity if since < entry.day <= request.today else 0
    return {
        part: Useful(max(0, want.least - want.lacking), used[part], part in supply.stock)
        for part, want in wanted_of(request, supply, choice, shelf, suppliers).items()
    }


def wanted_of(
    request: Request, supply: Supply, choice: Choice, shelf: ShelfAhead, suppliers: Collection[str]
) -> dict[str, Want]:
    """Return what the shelf wants of the parts that some suppliers list, once all that a choice orders is here."""
    parts = {offer.part for offer in supply.offers if offer.supplier in suppliers}
    past = [entry for entry in shelf.usage if entry.part in parts and entry.day <= request.today]
    newest = newest_numbers(supply)
    points = reorder_points(_only(parts, supply), past, request.today, shelf.policy, lateness(tuple(shelf.deliveries)))
    wanted = wants(
        points,
        needs_under_newest(engine_needs(choice, supply, request), newest),
        pieces_under_newest({part: supply.free(part) for part in supply.stock}, newest),
        pieces_under_newest(supply.pieces_under_way, newest),
    )
    return {part: want for part, want in wanted.items() if part in parts}


def _only(parts: Collection[str], supply: Supply) -> Supply:
    return replace(
        supply,
        stock={number: line for number, line in supply.stock.items() if number in parts},
        offers=tuple(offer for offer in supply.offers if offer.part in parts),
    )
