"""Old part numbers and the new ones they became: the old one on the shelf is good, an order goes to the new one."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping

from msgspec.structs import replace

from stackopt.parts.part_records import Supply, Usage
from stackopt.stocking.reorder.restock_records import Need


def newest_numbers(supply: Supply) -> dict[str, str]:
    """Return the newest number of every part that nobody sells under its own number any more.

    Numbers that were superseded more than once are followed to the end; a circle in the lists ends where it closes.
    """
    follows = {offer.part: offer.superseded_by for offer in supply.offers if offer.superseded_by}
    still_sold = {offer.part for offer in supply.offers if not offer.superseded_by and not offer.discontinued}
    newest = {}
    for part in follows.keys() - still_sold:
        seen = {part}
        number = follows[part]
        while number in follows and number not in still_sold and number not in seen:
            seen.add(number)
            number = follows[number]
        newest[part] = number
    return newest


def usage_under_newest(usage: Iterable[Usage], newest: Mapping[str, str]) -> list[Usage]:
    """Return the usage with old numbers replaced: what left as the old part will be asked for as the new one."""
    return [replace(entry, part=newest.get(entry.part, entry.part)) for entry in usage]


def pieces_under_newest(pieces: Mapping[str, int], newest: Mapping[str, str]) -> Counter[str]:
    """Return pieces by part number, those of old numbers added to the new one's."""
    total = Counter[str]()
    for part, quantity in pieces.items():
        total[newest.get(part, part)] += quantity
    return total


def needs_under_newest(needs: Mapping[str, Need], newest: Mapping[str, str]) -> dict[str, Need]:
    """Return needs by part number, those of old numbers added to the new one's."""
    total: dict[str, Need] = {}
    for part, need in needs.items():
        number = newest.get(part, part)
        before = total.get(number, Need(0))
        total[number] = Need(
            pieces=before.pieces + need.pieces,
            engines=tuple(dict.fromkeys(before.engines + need.engines)),
            from_kits=before.from_kits + need.from_kits,
            buys=tuple(sorted(before.buys + need.buys, key=lambda buy: buy.within_days)),
        )
    return total
