"""What a plan leaves: the supply that is there for one more engine while all others keep what they get."""

from __future__ import annotations

from collections import Counter
from collections.abc import Collection

from msgspec.structs import replace

from stackopt.choose.choice_records import SHELF, Choice
from stackopt.choose.coming import coming_from, is_coming
from stackopt.engine.engine_records import Engine
from stackopt.parts.part_records import StockLine, Supplier, Supply, UnderWay
from stackopt.parts.sources import purchase_sources


def remaining_supply(supply: Supply, choice: Choice, days: float) -> Supply:
    """Return what is left of a supply for an engine that can wait so many days.

    What is left of opened kits, and of packs that come in time, lies on the shelf. Suppliers that are ordered from
    anyway take no further freight. Of the pieces under way, the other engines take those that come first. A line
    that grows may reach a cheaper price; that is left out, so no price is too low.
    """
    left = Counter({part: line.free for part, line in supply.stock.items()})
    left.update(_opened(supply, choice))
    left.update(_brought(supply, choice, days))
    left.subtract(_taken(supply, choice, days))
    stock = {
        part: replace(
            supply.stock.get(part, StockLine(part, 0)),
            on_hand=max(0, pieces),
            reserved=0,
            on_order=0,
            expected=None,
        )
        for part, pieces in left.items()
    }
    ordered = {order.supplier: Supplier(order.supplier) for order in choice.orders}
    return replace(
        supply, stock=stock, suppliers={**supply.suppliers, **ordered}, ordered=_still_coming(supply, choice)
    )


def concerning(supply: Supply, engine: Engine) -> Supply:
    """Return only the lines, stock and kits of a supply that hold a part which could go on an engine.

    An engine is solved many times with it, which the size of the shop must not slow down.
    """
    fitted = {number for numbers in engine.pinned.values() for number in numbers}
    own = {number for number, part in supply.parts.items() if part.fits_family(engine.family)}
    return holding(supply, own | fitted)


def holding(supply: Supply, parts: Collection[str]) -> Supply:
    """Return only the lines, stock and kits of a supply that hold one of these parts."""
    kits = {number: kit for number, kit in supply.kits.items() if any(part in parts for part in kit.contents)}
    wanted = kits.keys() | parts
    return replace(
        supply,
        stock={number: line for number, line in supply.stock.items() if number in wanted},
        offers=tuple(offer for offer in supply.offers if not wanted.isdisjoint((offer.part, offer.superseded_by))),
        kits=kits,
    )


def _opened(supply: Supply, choice: Choice) -> Counter[str]:
    pieces: Counter[str] = Counter()
    for use in choice.use:
        if use.source == SHELF and use.part in supply.kits:
            pieces.update({part: held * use.quantity for part, held in supply.kits[use.part].contents.items()})
    return pieces


def _brought(supply: Supply, choice: Choice, days: float) -> Counter[str]:
    by_offer = {source.offer: source.pieces_per_pack for source in purchase_sources(supply)}
    pieces: Counter[str] = Counter()
    for line in (line for order in choice.orders for line in order.lines if line.offer.lead_days <= days):
        pieces.update({part: held * line.packs for part, held in by_offer[line.offer].items()})
    return pieces


def _still_coming(supply: Supply, choice: Choice) -> tuple[UnderWay, ...]:
    """Return what is under way and was given to nobody, what comes first taken first."""
    taken = Counter({(use.part, use.source): use.quantity for use in choice.use if is_coming(use.source)})
    left = []
    for each in sorted(supply.under_way, key=lambda lot: (lot.day is None, lot.day, lot.order)):
        lot = each.part, coming_from(each.branch)
        given = min(each.quantity, taken[lot]) if each.day is not None else 0
        taken[lot] -= given
        if each.quantity > given:
            left.append(replace(each, quantity=each.quantity - given))
    return tuple(left)


def _taken(supply: Supply, choice: Choice, days: float) -> Counter[str]:
    """Count what is used of the shelf and of kits, and of what comes in time; what comes later is not there anyway."""
    elsewhere = {order.supplier for order in choice.orders if all(line.offer.lead_days > days for line in order.lines)}
    pieces: Counter[str] = Counter()
    for use in choice.use:
        if use.source not in elsewhere and not is_coming(use.source):
            pieces[use.part] += use.quantity
    return pieces
