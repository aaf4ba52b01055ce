"""Who gets which piece: what a solution takes of each heap, given out by the days on which pieces are needed."""

from __future__ import annotations

import math
from collections import Counter, defaultdict
from collections.abc import Iterator, Mapping, Sequence

from msgspec import Struct, field
from msgspec.structs import replace

from stackopt.choose.choice_records import SHELF, OrderLine
from stackopt.choose.model.passes import Solution
from stackopt.choose.model.program import JobColumns, Program
from stackopt.choose.stacks.fittable import Stack

HERE = -math.inf


class SourceHeap(Struct, eq=False):
    """Pieces of one part from one source, here after so many days; minus infinity for what is here already.

    `line` is the bought line that brings them, `a_pack` how many each of its packs does.
    """

    part: str
    source: str
    days: float
    left: int
    line: int | None = None
    a_pack: int = 1


class Given(Struct):
    """What one engine was given: a heap a piece, for each cylinder by part number."""

    cylinders: list[dict[str, list[SourceHeap]]]

    @property
    def heaps(self) -> Iterator[SourceHeap]:
        """Yield the heap of every piece."""
        for parts in self.cylinders:
            for heaps in parts.values():
                yield from heaps

    @property
    def wait_days(self) -> int:
        """The days until the last piece is here."""
        return int(max((heap.days for heap in self.heaps if heap.days > HERE), default=0))


class HandedOut(Struct):
    """What every engine is given, by name, and the lines with whom each is for and what of it is for nobody."""

    given: dict[str, Given] = field(default_factory=dict)
    lines: list[OrderLine] = field(default_factory=list)

    def use(self) -> Counter[tuple[str, str]]:
        """Count the pieces by part and source."""
        return Counter((heap.part, heap.source) for given in self.given.values() for heap in given.heaps)


class _Need(Struct):
    """One piece that a cylinder of an engine needs by some day."""

    deadline: float
    engine: str
    cylinder: int
    part: str


def hand_out(
    program: Program, solution: Solution, lines: Sequence[OrderLine], stacks: Mapping[str, Sequence[Stack]]
) -> HandedOut:
    """Give out the pieces of a solution: those that are here first go to the engines that need theirs first.

    Parameters
    ----------
    program, solution
        The model and what was chosen.
    lines
        What is bought, in the order of the program's tiers.
    stacks
        By engine, what each cylinder gets.
    """
    needs = sorted(_needs(program, solution, stacks), key=lambda need: need.deadline)
    heaps = _heaps(program, solution)
    given = {name: Given([{} for _ in own]) for name, own in stacks.items()}
    by_part: dict[str, list[_Need]] = defaultdict(list)
    for need in needs:
        by_part[need.part].append(need)
    used: dict[int, dict[str, int]] = defaultdict(Counter)
    users: dict[int, dict[str, None]] = defaultdict(dict)
    for part, own in by_part.items():
        taken = sorted(_taken(heaps[part], own), key=lambda heap: heap.days)
        for need, heap in zip(own, taken, strict=True):
            given[need.engine].cylinders[need.cylinder].setdefault(part, []).append(heap)
            if heap.line is not None:
                used[heap.line][part] = used[heap.line].get(part, 0) + 1
                users[heap.line][need.engine] = None
    told = [
        _told(line, _packs(used[number], heaps, number), tuple(sorted(users[number])))
        for number, line in enumerate(lines)
    ]
    return HandedOut(given, told)


def _needs(program: Program, solution: Solution, stacks: Mapping[str, Sequence[Stack]]) -> Iterator[_Need]:
    for columns in program.jobs:
        name, deadline = columns.job.engine.name, _deadline(program, columns, solution)
        for number, stack in enumerate(stacks[name]):
            for part, quantity in stack.uses:
                yield from (_Need(deadline, name, number, part) for _ in range(quantity))


def _deadline(program: Program, columns: JobColumns, solution: Solution) -> float:
    """Return the day by which an engine's parts are here: the last it can wait for, or the one that was chosen."""
    waiting = program.waits.get(columns.job.engine.name)
    if waiting is None or columns.job.days < 0:
        return columns.job.days
    return waiting.days[sum(solution[longer] for longer in waiting.longer)]


def _taken(heaps: Sequence[SourceHeap], needs: Sequence[_Need]) -> list[SourceHeap]:
    """Return what is taken of the heaps, an entry a piece, so that as little shelf value is used as was reached.

    Matched in the order of their days, the pieces that come first meet the needs that come first whenever any way does.
    """
    taken = []
    for need in needs:
        heap = next(heap for heap in heaps if heap.left > 0 and heap.days <= need.deadline)
        heap.left -= 1
        taken.append(heap)
    return taken


def _heaps(program: Program, solution: Solution) -> dict[str, list[SourceHeap]]:
    """Lay out what there is of each part, in the order it is to be taken.

    What is bought or out of an opened kit goes first where a piece from the shelf has a cost, and last where it has
    none: so as little shelf value is used as the last objective reached.
    """
    bought_columns = (
        column for column in program.purchases.tiers if solution[column.packs] and column.source.pieces_per_pack
    )
    numbers = {column.packs.name: number for number, column in enumerate(bought_columns)}
    heaps: dict[str, list[SourceHeap]] = defaultdict(list)
    for part in {
        part for columns in program.jobs for stack, _ in columns.stacks_with_columns() for part, _ in stack.uses
    }:
        supply = program.supply
        shelf = [SourceHeap(part, SHELF, HERE, supply.free(part))]
        kits = [
            SourceHeap(part, kit, HERE, solution[column] * supply.kits[kit].contents[part])
            for kit, column in program.opened.items()
            if part in supply.kits[kit].contents
        ]
        bought = []
        for column in program.purchases.by_part.get(part, ()):
            offer, packs, pieces = column.source.offer, solution[column.packs], column.source.pieces_per_pack[part]
            if packs:
                line = numbers[column.packs.name]
                bought.append(SourceHeap(part, offer.supplier, offer.lead_days, packs * pieces, line, pieces))
        bought.sort(key=lambda heap: heap.days)
        # A piece under way counts as much as one on the shelf, which is here sooner.
        coming = program.purchases.coming.get(part, ())
        shelf += [SourceHeap(part, each.source, each.days, int(each.taken.upBound)) for each in coming]
        heaps[part] = [*kits, *bought, *shelf] if supply.unit_cost_cents(part) > 0 else [*shelf, *kits, *bought]
    return heaps


def _packs(used: Mapping[str, int], heaps: Mapping[str, Sequence[SourceHeap]], number: int) -> int:
    """Return how many packs of a line bring the pieces that are used of it."""
    a_pack = {part: heap.a_pack for part in used for heap in heaps[part] if heap.line == number}
    return max((math.ceil(pieces / a_pack[part]) for part, pieces in used.items()), default=0)


def _told(line: OrderLine, packs: int, engines: tuple[str, ...]) -> OrderLine:
    """Return a line with whom it is for, and the packs of it beyond what these take and the line asks for."""
    needed = max(packs, line.offer.minimum_packs) if engines else 0
    return replace(line, engines=engines, filler_packs=line.packs - needed)
