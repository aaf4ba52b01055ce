"""An answer at once, for engines that no time is left for: who takes what is picked engine by engine.

The engines take turns, the most urgent first; each cylinder takes the stack that costs least of what is left then. A
model of these stacks alone, and of the lines alone that bring what they lack, buys for them. Nothing is proven of such
an answer, but it keeps every row of the whole model, and takes a moment however large the shop is.
"""

from __future__ import annotations

import math
from collections import Counter, defaultdict
from collections.abc import Iterator, Mapping, Sequence

from msgspec import Struct
from msgspec.structs import replace

from stackopt.choose.model.objective import Objective
from stackopt.choose.model.passes import Solution, first_solution, solve_pass, unproven
from stackopt.choose.model.program import Job, Program, build_program
from stackopt.choose.model.purchase import ModelRequest
from stackopt.choose.patience import MOMENT_SECONDS, Patience
from stackopt.choose.stacks.fittable import Stack
from stackopt.choose.stacks.together import binds_cylinders, stacks_match
from stackopt.parts.part_records import Offer, Supply
from stackopt.parts.sources import Source

# Special orders, money in cents, distance from the aims: what a stack costs, in the order in which it counts.
Cost = tuple[int, float, float]
FREE: Cost = (0, 0.0, 0.0)


class Turns(Struct):
    """What is left while engines take their turns, and what they buy.

    Parameters
    ----------
    here
        Pieces free on the shelf by part, unopened kits among them.
    later
        By part, what comes: days and pieces; what packs bring beyond the need among it.
    supply, sources
        Where kits and lines are found.
    lines
        By part, the positions among the sources of those that bring it.
    bought
        The positions of the lines that are used.
    """

    here: Counter[str]
    later: dict[str, list[list[int]]]
    supply: Supply
    sources: Sequence[Source]
    lines: Mapping[str, Sequence[int]]
    bought: set[int]

    def cost(self, part: str, pieces: int, days: float) -> Cost | None:
        """Return what so many pieces within so many days cost; None where they cannot be had."""
        lacking = pieces - self.here[part] - sum(came for day, came in self.later.get(part, ()) if day <= days)
        if lacking <= 0 or sum(self._in_kits(part)) >= lacking:
            return FREE
        line = self._line(part, lacking, days)
        if line is None:
            return None
        offer = self.sources[line].offer
        return int(offer.special_order), float(self._line_cents(line, part, lacking)), 0.0

    def take(self, part: str, pieces: int, days: float) -> None:
        """Take pieces: of what comes the latest first, then from the shelf, out of kits there, and bought."""
        for lot in sorted(self.later.get(part, ()), reverse=True):
            if lot[0] <= days:
                taken = min(pieces, lot[1])
                lot[1] -= taken
                pieces -= taken
        taken = min(pieces, self.here[part])
        self.here[part] -= taken
        pieces -= taken
        while pieces > 0 and (kit := next(self._kits(part), "")):
            self.here[kit] -= 1
            self.here.update(self.supply.kits[kit].contents)
            taken = min(pieces, self.here[part])
            self.here[part] -= taken
            pieces -= taken
        line = self._line(part, pieces, days) if pieces > 0 else None
        if line is not None:
            self._buy(line, part, pieces)

    def _buy(self, line: int, part: str, pieces: int) -> None:
        self.bought.add(line)
        source = self.sources[line]
        packs = _packs(source, part, pieces)
        for brought, each in source.pieces_per_pack.items():
            left = packs * each - (pieces if brought == part else 0)
            self.later.setdefault(brought, []).append([source.offer.lead_days, left])

    def _line(self, part: str, pieces: int, days: float) -> int | None:
        """Return the line that costs least for so many pieces, and comes in time."""
        offers = [line for line in self.lines.get(part, ()) if self.sources[line].offer.lead_days <= days]
        return min(
            offers,
            key=lambda line: (self.sources[line].offer.special_order, self._line_cents(line, part, pieces), line),
            default=None,
        )

    def _line_cents(self, line: int, part: str, pieces: int) -> int:
        packs = _packs(self.sources[line], part, pieces)
        return packs * self.sources[line].offer.price_cents(packs)

    def _kits(self, part: str) -> Iterator[str]:
        return (number for number, kit in self.supply.kits.items() if part in kit.contents and self.here[number] > 0)

    def _in_kits(self, part: str) -> Iterator[int]:
        return (self.here[kit] * self.supply.kits[kit].contents[part] for kit in self._kits(part))


def _packs(source: Source, part: str, pieces: int) -> int:
    offer: Offer = source.offer
    return max(offer.minimum_packs, math.ceil(pieces / source.pieces_per_pack[part]))


def solved_at_once(
    jobs: Sequence[Job], supply: Supply, sources: Sequence[Source], objectives: Sequence[Objective], asked: ModelRequest
) -> tuple[Program, Solution]:
    """Return a model and an answer to it that took a moment; nothing is proven of it.

    Parameters
    ----------
    jobs, supply, sources
        The engines, and where their parts come from.
    objectives
        What counts in which order.
    asked
        What the model must tell.
    """
    picked, bought = _picked(jobs, supply, sources, asked)
    program = build_program(picked, supply, bought, asked)
    solution = first_solution(program)
    patience = Patience.of_seconds(MOMENT_SECONDS)
    spend = [objective.name for objective in objectives].index("spend")
    for objective in objectives[: spend + 1]:
        solution = solve_pass(program, objective, solution, patience)
    return program, unproven(program, objectives, solution)


def _picked(
    jobs: Sequence[Job], supply: Supply, sources: Sequence[Source], asked: ModelRequest
) -> tuple[list[Job], list[Source]]:
    """Return the jobs with what they are given alone, and the lines that bring it."""
    turns = _first_turn(jobs, supply, sources, asked)
    given: dict[str, tuple[tuple[Stack, ...], ...]] = {}
    for job in sorted(jobs, key=lambda job: (-job.engine.priority, job.days, job.engine.name)):
        stacks = _taken(job, turns)
        given[job.engine.name] = tuple((stack,) for stack in stacks) or tuple(() for _ in job.stacks)
    picked = [replace(job, stacks=given[job.engine.name], barred=()) for job in jobs]
    return picked, [source for position, source in enumerate(sources) if position in turns.bought]


def _first_turn(jobs: Sequence[Job], supply: Supply, sources: Sequence[Source], asked: ModelRequest) -> Turns:
    needed = {part for job in jobs for part in job.needs()}
    kits = {number: kit for number, kit in supply.kits.items() if needed.intersection(kit.contents)}
    free = Counter({part: free for part in (*needed, *kits) if (free := supply.free(part)) > 0})
    coming = asked.beside.coming
    later = {part: [[lot.days, lot.pieces] for lot in coming[part]] for part in sorted(needed & coming.keys())}
    lines: dict[str, list[int]] = defaultdict(list)
    for position, source in enumerate(sources):
        for part in needed.intersection(source.pieces_per_pack):
            lines[part].append(position)
    return Turns(free, later, replace(supply, kits=kits), sources, lines, set())


def _taken(job: Job, turns: Turns) -> tuple[Stack, ...]:
    """Let an engine take what costs least of what is left; return its stacks, none where it cannot be finished."""
    if not all(job.stacks):
        return ()
    costs: dict[tuple[str, int], Cost | None] = {}
    for first in _by_cost(job, turns, (), costs):
        stacks: tuple[Stack, ...] = (first,)
        while len(stacks) < len(job.stacks) and (more := next(_by_cost(job, turns, stacks, costs), None)):
            stacks = (*stacks, more)
        if len(stacks) == len(job.stacks) and not _is_barred(job, stacks):
            for part, pieces in _uses(stacks).items():
                turns.take(part, pieces, job.days)
            return stacks
    return ()


def _by_cost(
    job: Job, turns: Turns, before: tuple[Stack, ...], costs: dict[tuple[str, int], Cost | None]
) -> Iterator[Stack]:
    """Yield the stacks of the cylinder after those before that go with these and can be had, the cheapest first."""
    had, found = _uses(before), []
    for position, stack in enumerate(job.stacks[len(before)]):
        if not _goes_with(job, stack, before):
            continue
        total: list[Cost] = [(0, stack.work_cents, stack.closeness)]
        for part, quantity in stack.uses:
            asked = (part, had[part] + quantity)
            if asked not in costs:
                costs[asked] = turns.cost(*asked, job.days)
            if (cost := costs[asked]) is None:
                break
            total.append(cost)
        else:
            found.append(([sum(own) for own in zip(*total, strict=True)], position, stack))
    return (stack for _, _, stack in sorted(found, key=lambda each: each[:2]))


def _goes_with(job: Job, stack: Stack, before: Sequence[Stack]) -> bool:
    if before and stack.shared != before[0].shared:
        return False
    return not binds_cylinders(job.engine) or all(stacks_match(job.engine, stack, other) for other in before)


def _is_barred(job: Job, stacks: Sequence[Stack]) -> bool:
    return tuple(stack.names for stack in stacks) in job.barred


def _uses(stacks: Sequence[Stack]) -> Counter[str]:
    uses: Counter[str] = Counter()
    for stack in stacks:
        uses.update(dict(stack.uses))
    return uses
