"""The pieces of a choice in heaps, given out to its engines: what is here first, then what comes soonest."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator, Mapping, Sequence
from datetime import date, timedelta

from msgspec import Struct
from msgspec.structs import replace

from stackopt.choose.choice_records import ON_ORDER, SHELF, Order, Use
from stackopt.choose.coming import coming_from, is_coming
from stackopt.parts.part_records import Kit, UnderWay
from stackopt.shop.database.acts import Act
from stackopt.shop.database.faults import refuse
from stackopt.shop.database.transactions import Movement
from stackopt.shop.entries.branches import MAIN, Branches

CHOOSE_AGAIN = "Nothing was stored. Choose again: the ledger has changed since."


class HeldHeap(Struct):
    """Pieces of one part still to be given out: off a branch's shelf (order 0), or from an order under way."""

    purchase: int
    left: int
    branch: str = MAIN


Heaps = dict[str, list[HeldHeap]]


def wanted_of(coming: Iterable[UnderWay], use: Iterable[Use]) -> Iterator[UnderWay]:
    """Yield as many of the pieces under way, and of those at other branches, as a choice takes of them, soonest first.

    Raises
    ------
    InputError
        When fewer are free by now.
    """
    wanted = {(each.part, each.source): each.quantity for each in use if is_coming(each.source)}
    for each in sorted(coming, key=_soonest_first):
        lot = each.part, coming_from(each.branch)
        taken = min(each.quantity, wanted.get(lot, 0)) if each.day is not None else 0
        if taken:
            wanted[lot] -= taken
            yield replace(each, quantity=taken)
    for (part, source), short in wanted.items():
        if short and source == ON_ORDER:
            found = f"{short} of {part} promised to somebody else or cancelled"
            raise refuse("", found, "pieces under way that are still free", CHOOSE_AGAIN)
        if short:
            found = f"{short} of {part} no longer free at {source}"
            raise refuse("", found, "pieces that are still free there", CHOOSE_AGAIN)


def bought_pieces(
    orders: Sequence[Order], numbers: Sequence[int], kits: Mapping[str, Kit], today: date
) -> Iterator[UnderWay]:
    """Yield all that the drafted orders bring, a kit as its parts."""
    for number, order in zip(numbers, orders, strict=True):
        for line in order.lines:
            bought = kits.get(line.offer.part, Kit(line.offer.part, {line.offer.part: 1}))
            day = today + timedelta(days=line.offer.lead_days)
            for content, each in bought.contents.items():
                yield UnderWay(content, each * line.packs * line.offer.pack, day, number)


def laid_out(
    use: Iterable[Use], kits: Mapping[str, Kit], coming: Iterable[UnderWay], branches: Branches, branch: str
) -> Heaps:
    """Lay out what a choice for a branch takes of each part: what is here first, then what comes, the soonest first."""
    taken = list(use)
    opened = {each.part for each in taken if each.source == SHELF and each.part in kits}
    heaps: Heaps = {}
    for each in taken:
        if each.source == SHELF or each.source in opened:
            heaps.setdefault(each.part, []).append(HeldHeap(0, each.quantity, branch))
    for arriving in sorted(coming, key=_soonest_first):
        where = branches.code(arriving.branch)
        heaps.setdefault(arriving.part, []).append(HeldHeap(arriving.order, arriving.quantity, where))
    return heaps


def given(engine: str, needed: Counter[str], heaps: Heaps) -> list[Movement]:
    """Give one engine its pieces off the heaps; what lies on a shelf is held there, what comes is promised.

    Raises
    ------
    InputError
        When the heaps do not have all of them.
    """
    movements = []
    for number, quantity in sorted(needed.items()):
        wanted = quantity
        for heap in heaps.get(number, []):
            taken = min(wanted, heap.left)
            heap.left -= taken
            wanted -= taken
            if taken:
                act = Act.PROMISED if heap.purchase else Act.HELD
                where = MAIN if heap.purchase else heap.branch
                movements.append(Movement(number, act, taken, engine, heap.purchase, where))
        if wanted:
            found = f"{wanted} of {number} from nowhere"
            raise refuse(engine, found, "a source for every piece of the choice", CHOOSE_AGAIN)
    return movements


def _soonest_first(each: UnderWay) -> tuple[date, int, str]:
    return each.day or date.max, each.order, each.part
