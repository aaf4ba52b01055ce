"""Old part numbers and the new ones they became: the old one on the shelf is good, an order goes to the new one."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import replace

from stackopt.parts.records import Supply, Usage


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


def under_newest(usage: Iterable[Usage], newest: Mapping[str, str]) -> list[Usage]:
    """Return the usage with old numbers replaced: what left as the old part will be asked for as the new one."""
    return [replace(entry, part=newest.get(entry.part, entry.part)) for entry in usage]
