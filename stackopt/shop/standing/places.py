"""Where pieces lie: each branch's shelf, and what the other branches and orders on their way bring to one of them.

Seen from one branch, a free piece on another's shelf is supply like one on order: it is here after the days that a
transfer takes. An order that goes to another branch is here so many days after it has come there. Where nobody has said
how many days a transfer takes, such pieces have no day.
"""

from __future__ import annotations

from collections.abc import Collection, Iterator
from datetime import date, timedelta
from shlex import quote

from msgspec import Struct
from msgspec.structs import replace

from stackopt.parts.part_records import UnderWay
from stackopt.shop.database.acts import total_sentence
from stackopt.shop.database.faults import refuse
from stackopt.shop.database.snapshot import SentenceParameters, Snapshot, current_rows
from stackopt.shop.entries.branches import Branches, read_branches
from stackopt.shop.standing.order_reading import read_open_orders
from stackopt.shop.standing.placed import PlacedOrder, free_under_way

# Pieces on hand and held, by part number and branch.
Shelves = dict[tuple[str, str], tuple[int, int]]


class BranchLine(Struct, frozen=True):
    """What the stock list of a branch says of a part beside the count."""

    bin: str
    minimum: int | None
    maximum: int | None


def read_shelves(snapshot: Snapshot, where: str, names: SentenceParameters, asking: Collection[str] = ()) -> Shelves:
    """Return what lies at each branch of the parts that meet a condition; what is held for `asking` counts as free."""
    own = _held_for(snapshot, asking)
    on_hand, held = total_sentence("on_hand"), total_sentence("held")
    sentence = f"SELECT part, branch, {on_hand}, {held} FROM movement WHERE {where} GROUP BY part, branch"
    return {
        (part, branch): (int(here), int(kept) - own.get((part, branch), 0))
        for part, branch, here, kept in snapshot.rows(sentence, names.values)
    }


def _held_for(snapshot: Snapshot, engines: Collection[str]) -> dict[tuple[str, str], int]:
    if not engines:
        return {}
    names = SentenceParameters()
    asked = names.among("engine", engines)
    sentence = f"SELECT part, branch, {total_sentence('held')} FROM movement WHERE {asked} GROUP BY part, branch"
    return {(part, branch): int(held) for part, branch, held in snapshot.rows(sentence, names.values)}


def at_branch(shelves: Shelves, branch: str | None) -> dict[str, tuple[int, int]]:
    """Return what lies at one branch by part number; None: at all of them together."""
    found: dict[str, tuple[int, int]] = {}
    for (part, where), (here, held) in shelves.items():
        if branch in (None, where):
            before = found.get(part, (0, 0))
            found[part] = (before[0] + here, before[1] + held)
    return found


def read_branch_lines(snapshot: Snapshot, branch: str) -> dict[str, BranchLine]:
    """Return what the stock list of a branch other than the main one says, by part number."""
    names = SentenceParameters()
    columns = ("part", "bin", "minimum", "maximum")
    rows = current_rows(snapshot, "branch_line", columns, f"branch = {names.add(branch)}", names)
    return {row.part: BranchLine(row.bin, row.minimum, row.maximum) for row in rows}


class Seen(Struct, frozen=True):
    """From where the shop is looked at: its branches, one of them as entries call it, on a day.

    Engines in `asking` are planned anew: what is promised to them counts as free.
    """

    branches: Branches
    branch: str
    today: date
    asking: Collection[str] = ()


def coming_to(snapshot: Snapshot, seen: Seen, shelves: Shelves, whole: Collection[str] = ()) -> Iterator[UnderWay]:
    """Yield what orders bring to one branch and nobody was promised, and what lies free at the others.

    Parameters
    ----------
    snapshot
        The ledger at one moment.
    seen
        Who looks.
    shelves
        What lies at each branch.
    whole
        Parts that are no pieces for an engine before they are opened, which is not done from afar: sets.
    """
    for order in read_open_orders(snapshot):
        days = seen.branches.days_between(order.route.destination, seen.branch)
        for each in free_under_way([order], seen.today, seen.asking):
            yield replace(each, day=_later(each.day, days))
    for (part, where), (here, held) in sorted(shelves.items()):
        if where != seen.branch and here > held and part not in whole:
            day = _later(seen.today, seen.branches.days_between(where, seen.branch))
            yield UnderWay(part, here - held, day, branch=seen.branches.name(where))


def here_on(branches: Branches, order: PlacedOrder, day: date, branch: str) -> date:
    """Return the day on which what an order brings on a day is at a branch; of an unstated transfer, that day."""
    return _later(day, branches.days_between(order.route.destination, branch)) or day


def check_branches_named(snapshot: Snapshot) -> None:
    """Refuse to go on where something lies at, is held at or goes to a branch that the shop does not name any more.

    Raises
    ------
    InputError
        Says what is where.
    """
    branches = read_branches(snapshot)
    if not branches.main and _current_branches(snapshot):
        raise refuse("", "no main branch any more", "one: the others are named beside it", "Nothing was stored.")
    on_hand, held = total_sentence("on_hand"), total_sentence("held")
    sentence = (
        f"SELECT branch, part, {on_hand} FROM movement WHERE branch <> '' GROUP BY branch, part "
        f"HAVING {on_hand} <> 0 OR {held} <> 0 ORDER BY branch, part"
    )
    for branch, part, pieces in snapshot.rows(sentence, {}):
        if branch not in branches.codes:
            command = f"stackopt shop transfer {quote(part)} {pieces} --from {quote(branch)} --to OTHER"
            mend = f"Nothing was stored. Have them brought elsewhere first: {command}"
            raise refuse(f"branch {branch}", f"{pieces} of {part} lie there", "a branch where nothing lies", mend)
    for order in read_open_orders(snapshot):
        for branch in (order.route.origin, order.route.destination):
            if branch not in branches.codes:
                found = f"order {order.number} is under way to or from it"
                raise refuse(f"branch {branch}", found, "a branch with nothing under way", "Nothing was stored.")


def _current_branches(snapshot: Snapshot) -> list[str]:
    return [row.name for row in current_rows(snapshot, "branch", ("name",))]


def _later(day: date | None, days: int | None) -> date | None:
    return None if day is None or days is None else day + timedelta(days=days)
