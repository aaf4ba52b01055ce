"""The shelf before and after a plan: what is taken from it, and what is left over of packs and kits and goes there."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator

from msgspec import Struct

from stackopt.choose.records import SHELF, Choice
from stackopt.parts.records import Supply
from stackopt.parts.sources import pieces_per_pack


class ShelfChange(Struct, frozen=True):
    """Free pieces of one part, or kits of one number, before a plan and once all of it is here and fitted."""

    part: str
    before: int
    after: int


def shelf_changes(choice: Choice, supply: Supply) -> tuple[ShelfChange, ...]:
    """Return every part that a plan touches, in the order of the numbers; some are here as many as before."""
    taken: Counter[str] = Counter()
    for use in choice.use:
        taken[use.part] += use.quantity
    come = Counter[str]()
    for part, pieces in _coming(choice, supply):
        come[part] += pieces
    return tuple(
        ShelfChange(part, supply.free(part), supply.free(part) + come[part] - taken[part])
        for part in sorted(taken.keys() | come.keys())
    )


def _coming(choice: Choice, supply: Supply) -> Iterator[tuple[str, int]]:
    """Yield the pieces that come in packs, and those that come out of kits opened from the shelf."""
    for order in choice.orders:
        for line in order.lines:
            for part, pieces in pieces_per_pack(line.offer, supply).items():
                yield part, pieces * line.packs
    for use in choice.use:
        if use.source == SHELF and use.part in supply.kits:
            for part, pieces in supply.kits[use.part].contents.items():
                yield part, pieces * use.quantity
