"""What can be kept of each part: the pieces that are there, further ones by the pack, and what each ties up."""

from __future__ import annotations

from collections.abc import Collection, Mapping

from msgspec import Struct

from stackopt.parts.part_records import Kind, Part, Supply
from stackopt.stocking.reorder.usual import shelf_sources, usual_offers

ON_THE_SHELF_KINDS = frozenset({Kind.BASE_GASKET, Kind.HEAD_GASKET, Kind.BASE_SHIM})


class Keepable(Struct, frozen=True):
    """One part that may be kept.

    Parameters
    ----------
    part, kind
        Its number and what it is.
    on_hand
        Free pieces on the shelf.
    piece_cents
        What one piece ties up: the price of its usual offer, else what it stands in the books for.
    pack
        Pieces in a pack of the usual offer; 0 where nobody sells the part.
    minimum_packs
        The least packs that are sold.
    supplier
        Who sells it; empty for nobody.
    """

    part: str
    kind: Kind
    on_hand: int
    piece_cents: float
    pack: int = 0
    minimum_packs: int = 1
    supplier: str = ""

    def level(self, packs: int) -> int:
        """Return the pieces kept when so many packs are bought on top of what is there."""
        return self.on_hand + packs * self.pack

    def packs_for(self, kept: int) -> int:
        """Return the packs to buy for a number of pieces that can be kept."""
        return 0 if kept <= self.on_hand else (kept - self.on_hand) // self.pack

    def next_level(self, kept: int) -> int | None:
        """Return the next greater number of pieces that can be kept; None where there is none.

        Pieces on the shelf may be sold off one by one; bought are whole packs, and only when nothing is sold off.
        """
        if kept < self.on_hand:
            return kept + 1
        if not self.pack:
            return None
        least = self.minimum_packs if kept == self.on_hand else 1
        return kept + least * self.pack


def keepable_parts(supply: Supply, families: Collection[str]) -> dict[str, Keepable]:
    """Return what may be kept for engines of these families, by part number.

    A line that would be a special order is none to fill a shelf from; a part that neither lies here nor is sold is
    left out.
    """
    offers = usual_offers([source for source in shelf_sources(supply) if not source.offer.special_order])
    kept = {}
    for number, part in sorted(supply.parts.items()):
        if part.kind not in ON_THE_SHELF_KINDS or not any(map(part.fits_family, families)):
            continue
        on_hand, offer = supply.free(number), offers.get(number)
        if offer is None and on_hand:
            kept[number] = Keepable(number, part.kind, on_hand, supply.unit_cost_cents(number))
        elif offer is not None:
            piece_cents = offer.price_cents(offer.minimum_packs) / offer.pack
            kept[number] = Keepable(
                number, part.kind, on_hand, piece_cents, offer.pack, offer.minimum_packs, offer.supplier
            )
    return kept


def parts_of(supply: Supply, keepable: Collection[str]) -> list[Part]:
    """Return the records of the parts that may be kept, in a fixed order."""
    return [supply.parts[number] for number in sorted(keepable)]


def tied_up_cents(kept: Mapping[str, int], keepable: Mapping[str, Keepable]) -> float:
    """Return the money that these pieces tie up, cents."""
    return sum(keepable[part].piece_cents * pieces for part, pieces in kept.items())
