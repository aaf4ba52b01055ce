"""What a branch has more of than it keeps: what another that runs out of it gets before anything is bought."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from msgspec import Struct

from stackopt.parts.part_records import StockLine, UnderWay
from stackopt.shop.database.snapshot import Snapshot
from stackopt.shop.entries.branches import read_branches
from stackopt.shop.standing.order_reading import read_open_orders
from stackopt.shop.standing.supplying import read_supply


class Surplus(Struct, frozen=True):
    """Free pieces of a part that a branch, by its name, does not keep for itself, and the days that they take."""

    part: str
    pieces: int
    branch: str
    days: int


def surplus_for(snapshot: Snapshot, at: str) -> tuple[Surplus, ...]:
    """Return what the other branches can send to one, from the nearest first; those of unsaid distance send nothing.

    A branch keeps up to the maximum of its stock list, else its minimum; where its list says neither, it keeps all.
    """
    branches = read_branches(snapshot)
    here = branches.code(at)
    found = []
    for code in branches.codes:
        days = branches.days_between(code, here)
        if code != here and days is not None:
            lines = read_supply(snapshot, at=code and branches.name(code)).stock.values()
            found += [Surplus(line.part, spare, branches.name(code), days) for line in lines if (spare := _spare(line))]
    return tuple(sorted(found, key=lambda each: (each.part, each.days, each.branch)))


def _spare(line: StockLine) -> int:
    kept = line.minimum if line.maximum is None else line.maximum
    return 0 if kept is None else max(0, line.free - kept)


def coming_to_shelf(snapshot: Snapshot, at: str, coming: Iterable[UnderWay]) -> tuple[UnderWay, ...]:
    """Return, of what is under way, that which orders bring to this branch: what lies at others is theirs."""
    here = read_branches(snapshot).code(at)
    numbers = {order.number for order in read_open_orders(snapshot) if order.route.destination == here}
    return tuple(each for each in coming if not each.branch and each.order in numbers)


def to_be_sent(surplus: Iterable[Surplus], wanted: Mapping[str, int]) -> tuple[Surplus, ...]:
    """Return what of a surplus covers so many wanted pieces of each part, from the nearest branch first."""
    left = dict(wanted)
    sent = []
    for each in surplus:
        pieces = min(each.pieces, left.get(each.part, 0))
        if pieces > 0:
            left[each.part] -= pieces
            sent.append(Surplus(each.part, pieces, each.branch, each.days))
    return tuple(sent)
