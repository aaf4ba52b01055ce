"""The columns in which price lists are written."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from typing import NamedTuple

from stackopt.books.out.columns import MONEY, OutColumn, Value, in_money
from stackopt.books.out.parts import DESCRIPTION, PART
from stackopt.parts.part_records import Offer, Part, Supply


class Offered(NamedTuple):
    """An offer, and the part where no stock list describes it."""

    offer: Offer
    part: Part | None


def _of_part(column: OutColumn[Part]) -> OutColumn[Offered]:
    """Return a column of a part for a price list, where it speaks only of parts that no stock list describes."""

    def say(offered: Offered) -> Value:
        return None if offered.part is None else column.say(offered.part)

    return OutColumn(column.header, column.note, column.example, say, False, column.number_format)


MOST_BREAKS = 9


def _start_of(number: int) -> Callable[[Offered], Value]:
    return lambda offered: offered.offer.tiers[number - 1].from_packs if len(offered.offer.tiers) >= number else None


def _price_of(number: int) -> Callable[[Offered], Value]:
    return lambda offered: (
        in_money(offered.offer.tiers[number - 1].price_cents) if len(offered.offer.tiers) >= number else None
    )


def _breaks() -> Iterator[OutColumn[Offered]]:
    for number in range(2, MOST_BREAKS + 1):
        example = (5, 3.60) if number == 2 else (None, None)
        start_note = f"From how many packs on price {number} holds, for all packs of the line."
        yield OutColumn(f"packs from {number}", start_note, example[0], _start_of(number), False)
        yield OutColumn(
            f"price {number}", "Price of one pack from there on.", example[1], _price_of(number), False, MONEY
        )


def _yes(said: bool) -> Value:
    return "yes" if said else None


# The columns of a stock list by canonical name: their headers without the unit.
OFFERS: tuple[OutColumn[Offered], ...] = (
    OutColumn("supplier", "Who sells it.", "Quillhaven", lambda offered: offered.offer.supplier),
    OutColumn("part number", "Your own number.", "BG82-040", lambda offered: offered.offer.part),
    OutColumn(
        "supplier part number",
        "The supplier's own number.",
        "QH 8240",
        lambda offered: offered.offer.supplier_part or None,
        False,
    ),
    OutColumn(
        "price", "Price of one pack.", 38.00, lambda offered: in_money(offered.offer.tiers[0].price_cents), True, MONEY
    ),
    OutColumn("pack", "Pieces in a pack.", 10, lambda offered: offered.offer.pack),
    OutColumn("minimum packs", "The least number of packs.", 1, lambda offered: offered.offer.minimum_packs),
    OutColumn("lead days", "Calendar days from order to arrival.", 6, lambda offered: offered.offer.lead_days),
    OutColumn(
        "special order",
        "yes: made or fetched on request.",
        None,
        lambda offered: _yes(offered.offer.special_order),
        False,
    ),
    OutColumn("discontinued", "yes: no longer sold.", None, lambda offered: _yes(offered.offer.discontinued), False),
    OutColumn(
        "superseded by",
        "The number that took its place.",
        None,
        lambda offered: offered.offer.superseded_by or None,
        False,
    ),
    *_breaks(),
    *map(_of_part, (*PART, DESCRIPTION)),
)


def offered(supply: Supply) -> list[Offered]:
    """Return the offers, each with its part where the shelf does not list that."""
    return [
        Offered(offer, None if offer.part in supply.stock else supply.parts.get(offer.part)) for offer in supply.offers
    ]
