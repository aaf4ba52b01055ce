"""Every range of few pieces for one group of engines, with what it builds: looked through, not searched.

Where money is tight a group keeps pieces for one or two engines at a time, and the model with pieces in parts tells far
more of them than whole pieces build. There are few such ranges, though: of 4 base gaskets out of 7 and 4 head gaskets
out of 8 there are 69,300. Which of them build which engines together is worked out for all at once, as tables over
multisets (collections of pieces, some of them alike): one engine more adds one piece of either kind a seat.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection, Iterator, Mapping, Sequence
from functools import reduce
from itertools import combinations_with_replacement
from math import comb

import numpy as np
import numpy.typing as npt
from msgspec import Struct

from stackopt.stocking.range.keepable import Keepable
from stackopt.stocking.range.program import Range
from stackopt.stocking.range.range_records import rising
from stackopt.stocking.range.scenarios import Scenario, engines_in
from stackopt.stocking.range.seats import Pieces, Seats

Table = npt.NDArray[np.bool_]
Bits = npt.NDArray[np.uint64]
Counts = npt.NDArray[np.int32]

# The most ranges that one table may have, so many times the engines of all scenarios (on a slow machine 3 s for a group
# of 150 twins), and the most engines at a time that are looked through.
MOST_RANGES, MOST_RANGES_BY_ENGINES, MOST_AT_A_TIME = 3_000_000, 1_000_000_000, 3
# Ranges are looked through with up to so many more pieces of the cheaper kind than the engines at a time need.
SPARE = 1
# Scenarios whose tables are one, a bit each.
WORD = 64


class Multisets:
    """All multisets of pieces of one kind, by their number of pieces; each has a place in a fixed order."""

    def __init__(self, parts: Sequence[str]) -> None:
        self.parts = tuple(parts)
        self.positions = {part: position for position, part in enumerate(parts)}
        self._places: dict[int, dict[tuple[int, ...], int]] = {}
        self._more: dict[tuple[int, int], npt.NDArray[np.intp]] = {}

    def __reduce__(self) -> tuple[type[Multisets], tuple[tuple[str, ...]]]:
        """Send the parts alone; multisets are listed again where they are asked for."""
        return Multisets, (self.parts,)

    def of(self, pieces: int) -> dict[tuple[int, ...], int]:
        """Return the multisets of so many pieces, each as positions of parts in ascending order, with their places."""
        if pieces not in self._places:
            them = combinations_with_replacement(range(len(self.parts)), pieces)
            self._places[pieces] = {each: place for place, each in enumerate(them)}
        return self._places[pieces]

    def count(self, pieces: int) -> int:
        """Return how many multisets of so many pieces there are, without listing them."""
        return comb(len(self.parts) + pieces - 1, pieces)

    def with_one_more(self, pieces: int, part: int) -> npt.NDArray[np.intp]:
        """Return for each multiset of so many pieces, by place, the place of what it is with one more of a part."""
        if (pieces, part) not in self._more:
            larger = self.of(pieces + 1)
            places = [larger[tuple(sorted((*each, part)))] for each in self.of(pieces)]
            self._more[pieces, part] = np.array(places, dtype=np.intp)
        return self._more[pieces, part]


class FewPieces(Struct, frozen=True):
    """The ranges of few pieces of one group, looked through.

    Parameters
    ----------
    kinds
        The two sorts of parts of which every way to fill a seat takes one piece each; of the first some may be spare.
    seats
        Seats of an engine, the same for all.
    at_a_time
        Up to so many engines built from one range in any scenario are looked through.
    """

    kinds: tuple[Multisets, Multisets]
    seats: int
    at_a_time: int

    def worth_their_money(self, group: Sequence[Scenario], keepable: Mapping[str, Keepable]) -> list[Range]:
        """Return the ranges of few pieces that build more than every cheaper one, by money."""
        tables = [_Tables(self, group[first : first + WORD]) for first in range(0, len(group), WORD)]
        found: list[Range] = []
        for engines in range(1, self.at_a_time + 1):
            for spare, built in enumerate(zip(*(each.built(engines) for each in tables), strict=True)):
                sizes = (engines * self.seats + spare, engines * self.seats)
                found.extend(self._rising(sizes, reduce(np.add, built), keepable))
        return list(rising(found, lambda kept: kept.built))

    def _rising(self, sizes: tuple[int, int], built: Counts, keepable: Mapping[str, Keepable]) -> Iterator[Range]:
        """Yield of ranges of these sizes those that build more than every cheaper one."""
        own = [_cents(kind, size, keepable) for kind, size in zip(self.kinds, sizes, strict=True)]
        cents = (own[0][:, np.newaxis] + own[1][np.newaxis, :]).ravel()
        by_money = np.argsort(cents, kind="stable")
        most = np.maximum.accumulate(built.ravel()[by_money])
        for rank in np.flatnonzero(np.diff(most, prepend=0)):
            place = by_money[rank]
            if np.isfinite(cents[place]):
                pieces = self._pieces(sizes, np.unravel_index(place, built.shape))
                yield Range(pieces, int(most[rank]), float(cents[place]), 0.0)

    def _pieces(self, sizes: tuple[int, int], place: Sequence[np.intp]) -> dict[str, int]:
        pieces: dict[str, int] = {}
        for kind, size, row in zip(self.kinds, sizes, place, strict=True):
            for position in list(kind.of(size))[row]:
                pieces[kind.parts[position]] = pieces.get(kind.parts[position], 0) + 1
        return pieces


def few_pieces(group: Sequence[Scenario], keepable: Mapping[str, Keepable]) -> FewPieces | None:
    """Return how the ranges of few pieces of a group are looked through; None where its ways are not of that shape.

    Every way to fill a seat must take one piece of one sort and one of another, engines must have the same number of
    seats, and the ranges must not be too many.
    """
    classes = {seats for scenario in group for seats in scenario}
    numbers = {len(seats) for seats in classes}
    ways = {way for seats in classes for seat in seats for way in seat}
    sorts = _two_sorts(ways, keepable)
    if len(numbers) != 1 or sorts is None:
        return None
    cheaper, dearer = sorted(sorts, key=lambda own: sum(keepable[part].piece_cents for part in own) / len(own))
    kinds = Multisets(cheaper), Multisets(dearer)
    (seats,) = numbers
    at_a_time = _engines_at_a_time(kinds, seats, sum(map(engines_in, group)))
    return FewPieces(kinds, seats, at_a_time) if at_a_time else None


def _two_sorts(ways: Collection[Pieces], keepable: Mapping[str, Keepable]) -> list[list[str]] | None:
    """Return the parts of the two sorts of which every way takes one piece each; None where ways are not like that."""
    if any([pieces for _, pieces in way] != [1, 1] for way in ways):
        return None
    if any(len({keepable[part].kind for part, _ in way}) != 2 for way in ways):
        return None
    sorts: dict[str, list[str]] = {}
    for part in sorted({part for way in ways for part, _ in way}):
        sorts.setdefault(keepable[part].kind, []).append(part)
    return list(sorts.values()) if len(sorts) == 2 else None


def _engines_at_a_time(kinds: tuple[Multisets, Multisets], seats: int, engines: int) -> int:
    """Return for up to how many engines at a time there are few enough ranges to look through all of them."""
    most = min(MOST_RANGES, MOST_RANGES_BY_ENGINES // engines)
    cheaper, dearer = kinds
    ranges = [cheaper.count(each * seats + SPARE) * dearer.count(each * seats) for each in range(1, MOST_AT_A_TIME + 1)]
    return sum(number <= most for number in ranges)


class _Tables:
    """Which ranges of few pieces build how many engines, in up to 64 scenarios: a bit each."""

    def __init__(self, few: FewPieces, scenarios: Sequence[Scenario]) -> None:
        self.few = few
        # By number of engines less one: for the ranges of just as many pieces, the scenarios in which they build them.
        self._exact = [
            np.zeros([kind.count(engines * few.seats) for kind in few.kinds], dtype=np.uint64)
            for engines in range(1, few.at_a_time + 1)
        ]
        for bit, scenario in enumerate(scenarios):
            for place, ranges in enumerate(self._building(scenario)):
                self._exact[place] |= ranges.astype(np.uint64) << np.uint64(bit)

    def built(self, engines: int) -> Iterator[Counts]:
        """Yield how many engines each range builds, over the scenarios: of pieces for so many engines, then spare ones.

        Each has the shape (multisets of the cheaper kind, of the dearer).
        """
        cheaper = self.few.kinds[0]
        size = engines * self.few.seats
        tables = [
            self._with_more(table, own * self.few.seats, size) for own, table in enumerate(self._exact[:engines], 1)
        ]
        for spare in range(SPARE + 1):
            if spare:
                tables = [_one_more(table, cheaper, size + spare - 1) for table in tables]
            yield sum((np.bitwise_count(table).astype(np.int32) for table in tables), np.zeros((1, 1), dtype=np.int32))

    def _building(self, scenario: Scenario) -> list[Table]:
        """Return by number of engines, from 1, the ranges of just as many pieces that build so many of a scenario."""
        tables = [np.ones((1, 1), dtype=np.bool_)]
        for seats in (seats for seats, count in scenario.items() for _ in range(count)):
            shorter = tables[: self.few.at_a_time]
            longer = [self._filled(table, engines, seats) for engines, table in enumerate(shorter)]
            known = zip(tables[1:], longer, strict=False)
            tables = [tables[0], *(one | two for one, two in known), *longer[len(tables) - 1 :]]
        return tables[1:]

    def _filled(self, table: Table, engines: int, seats: Seats) -> Table:
        """Return the ranges that are one of a table's and pieces for one engine on top."""
        cheaper, dearer = self.few.kinds
        pieces = engines * self.few.seats
        for seat in seats:
            by_dearer: dict[int, list[int]] = defaultdict(list)
            for way in seat:
                one, two = sorted(part for part, _ in way)
                first, second = (one, two) if one in cheaper.positions else (two, one)
                by_dearer[dearer.positions[second]].append(cheaper.positions[first])
            # Rows are far sooner added to than columns are: so the table is turned in between.
            turned = np.zeros((dearer.count(pieces + 1), cheaper.count(pieces + 1)), dtype=np.bool_)
            for other, parts in by_dearer.items():
                larger = np.zeros((cheaper.count(pieces + 1), table.shape[1]), dtype=np.bool_)
                for part in parts:
                    larger[cheaper.with_one_more(pieces, part)] |= table
                turned[dearer.with_one_more(pieces, other)] |= np.ascontiguousarray(larger.T)
            table, pieces = np.ascontiguousarray(turned.T), pieces + 1
        return table

    def _with_more(self, table: Bits, pieces: int, size: int) -> Bits:
        """Return for the ranges of a size what a table says of any range they hold of so many pieces of either kind."""
        cheaper, dearer = self.few.kinds
        turned = np.ascontiguousarray(table.T)
        for own in range(pieces, size):
            turned = _one_more(turned, dearer, own)
        table = np.ascontiguousarray(turned.T)
        for own in range(pieces, size):
            table = _one_more(table, cheaper, own)
        return table


def _one_more(table: Bits, kind: Multisets, pieces: int) -> Bits:
    """Return a table whose rows have one more piece of a kind: each says what any row says that it holds."""
    larger = np.zeros((kind.count(pieces + 1), table.shape[1]), dtype=np.uint64)
    for part in range(len(kind.parts)):
        larger[kind.with_one_more(pieces, part)] |= table
    return larger


def _cents(kind: Multisets, size: int, keepable: Mapping[str, Keepable]) -> npt.NDArray[np.float64]:
    """Return the money that each multiset of so many pieces ties up, cents; infinity where it cannot be kept so."""
    kept = [_levels(keepable[part], size) for part in kind.parts]
    counts = np.array(
        [[each.count(position) for position in range(len(kind.parts))] for each in kind.of(size)], dtype=np.intp
    )
    return sum((np.array(own)[counts[:, position]] for position, own in enumerate(kept)), np.zeros(len(counts)))


def _levels(part: Keepable, most: int) -> list[float]:
    """Return what 0, 1, … pieces of a part tie up, cents; infinity for numbers that cannot be kept."""
    cents = [np.inf] * (most + 1)
    level: int | None = 0
    while level is not None and level <= most:
        cents[level] = part.piece_cents * level
        level = part.next_level(level)
    return cents
