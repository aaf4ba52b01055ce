"""A stock list's counts against the ledger: what lies there, what is reserved, what is under way."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Mapping, Sequence
from typing import Any

from msgspec import Struct
from sqlalchemy import Connection

from stackopt.parts.part_records import StockLine, StockSheet, Supply
from stackopt.shop.commands.losing import Loss, losses
from stackopt.shop.database.acts import Act, Balance
from stackopt.shop.database.tables import movement
from stackopt.shop.database.transactions import CoreSnapshot, Movement
from stackopt.shop.entries.balances import of_parts, sums_by_part
from stackopt.shop.entries.branches import MAIN, read_branches
from stackopt.shop.loads.bins_told import BinsTold, read_bins_told, said
from stackopt.shop.loads.difference import Difference, LoadChange
from stackopt.shop.loads.moved_since import moved_since_load
from stackopt.shop.loads.under_way import ListedComing, OnItsWay, came_since, no_longer_coming, read_listed_coming
from stackopt.shop.standing.placed import OWN_LIST

NOTHING = Balance()


class Shelf(Struct, frozen=True):
    """What the ledger knows of the parts that a branch's list counts: sums, what is reserved, what is under way."""

    branch: str
    sums: Mapping[str, Balance]
    reserved: Mapping[str, Balance]
    coming: ListedComing
    bins: BinsTold

    def facts(self, line: StockLine) -> dict[str, Any]:
        """Return what the ledger says in the place of a stock list's line."""
        on_hand = self.sums.get(line.part, NOTHING).on_hand
        return {
            "on hand": on_hand,
            "bins": self.bins.words(line, on_hand),
            "reserved": self.reserved.get(line.part, NOTHING).held,
            "on order": self.coming.pieces(line.part),
            "expected": self.coming.day(line.part),
        }

    def as_told(self, line: StockLine, *, says_on_order: bool) -> dict[str, Any]:
        """Return what a line says: what it reserves beyond what engines hold is held for the list."""
        known = self.facts(line)
        by_engines = self.sums.get(line.part, NOTHING).held - known["reserved"]
        on_order = self.coming.wanted(line) if says_on_order or line.on_order else known["on order"]
        return {
            "on hand": line.on_hand,
            "bins": said(line),
            "reserved": max(0, min(line.reserved, line.on_hand) - by_engines),
            "on order": on_order,
            "expected": (line.expected or known["expected"]) if on_order else None,
        }


def of_counts(
    connection: Connection, supply: Supply, sheet: StockSheet | None, branch: str = MAIN
) -> Iterator[LoadChange]:
    """Yield a change for each part of which a list counts other pieces; who holds more than are there loses them."""
    at_branch = movement.c.branch == branch
    sums = sums_by_part(connection, of_parts(supply.stock), at_branch)
    reserved = sums_by_part(connection, movement.c.engine == OWN_LIST, at_branch)
    shelf = Shelf(
        branch, sums, reserved, read_listed_coming(connection, branch), read_bins_told(connection, supply.stock, branch)
    )
    place = read_branches(CoreSnapshot(connection)).at(branch)
    says_on_order = sheet is not None and any(column.name == "on order" for column in sheet.columns)
    told = {number: shelf.as_told(line, says_on_order=says_on_order) for number, line in supply.stock.items()}
    other = [line for number, line in supply.stock.items() if told[number] != shelf.facts(line)]
    if not other:
        return
    since = _moved_since(connection, shelf, other, told)
    lost: dict[str, list[Loss]] = defaultdict(list)
    for loss in losses(connection, {line.part: line.on_hand for line in other}, branch, reserved_too=False):
        lost[loss.part].append(loss)
    for line in other:
        number, before, after = line.part, shelf.facts(line), told[line.part]
        movements = [*_moved(connection, shelf, number, before, after), *shelf.bins.movements(line)]
        movements += [*(loss.movement for loss in lost[number])]
        differing = [name for name in before if before[name] != after[name]]
        was, now = ({name: facts[name] for name in differing} for facts in (before, after))
        loses = "; ".join([*map(str, lost[number]), *_no_longer_awaited(movements)])
        difference = Difference("shelf", number, number, was, now, loses, since.get(number, ""), place=place)
        yield LoadChange(difference, movements=movements, coming=_coming(shelf, number, was, now))


def _moved_since(
    connection: Connection, shelf: Shelf, other: Sequence[StockLine], told: Mapping[str, Mapping[str, Any]]
) -> dict[str, str]:
    """Return, in words, what moved since a list said what these lines say: they are an older list's."""
    counted = {line.part: line.on_hand for line in other}
    new = {line.part for line in other if shelf.bins.never_lay_so(line)}
    counted_anew = [line.part for line in other if line.on_hand != shelf.facts(line)["on hand"]]
    counted_anew = [number for number in counted_anew if number not in new]
    moved = moved_since_load(connection, counted, counted_anew, shelf.branch)
    coming_anew = [line for line in other if told[line.part]["on order"] != shelf.coming.pieces(line.part)]
    came = came_since(connection, shelf.coming, coming_anew)
    carried = {
        line.part: words
        for line in other
        if (words := shelf.bins.carried_since(line, told[line.part]["bins"], shelf.facts(line)["bins"]))
    }
    found = {number: [words[number] for words in (moved, came, carried) if number in words] for number in counted}
    return {number: ", ".join(words) for number, words in found.items()}


def _coming(shelf: Shelf, number: str, was: Mapping[str, Any], now: Mapping[str, Any]) -> tuple[OnItsWay, ...]:
    """Return what is to be written down as under way: more pieces, another day, or both."""
    more = max(0, now.get("on order", 0) - was.get("on order", 0))
    if not more and not now.get("expected"):
        return ()
    redated = [order.number for order in shelf.coming.of(number)] if now.get("expected") else []
    return (OnItsWay(number, more, now.get("expected") or shelf.coming.day(number), tuple(redated)),)


def _moved(
    connection: Connection, shelf: Shelf, number: str, before: Mapping[str, Any], after: Mapping[str, Any]
) -> list[Movement]:
    """Return what brings the ledger to what a line says; pieces that are there and no longer to come have come."""
    more = after["on hand"] - before["on hand"]
    moved = [
        Movement(number, Act.COUNTED, more, branch=shelf.branch),
        Movement(number, Act.HELD, after["reserved"] - before["reserved"], OWN_LIST, branch=shelf.branch),
    ]
    fewer = before["on order"] - after["on order"]
    if fewer > 0:
        moved += no_longer_coming(connection, shelf.coming, number, fewer, max(0, more))
    return [each for each in moved if each.quantity]


def _no_longer_awaited(movements: list[Movement]) -> Iterator[str]:
    for each in movements:
        if each.act is Act.WAIVED:
            yield f"{each.engine} no longer gets {each.quantity} of {each.part}"
