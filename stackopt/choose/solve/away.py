"""Groups solved by others, in other processes or on other machines: what is sent to them, and what comes back.

A copy of one group is sent, with only the part of the supply that the group can use. The values of the variables, what
the passes reached, and in the end the choice come back. The model itself is not sent: whoever continues a solve states
the model again, row for row. So the answer does not depend on where a group was solved.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from concurrent.futures import Executor

from msgspec import Struct
from msgspec.structs import replace

from stackopt.choose.choice_records import Choice
from stackopt.choose.model.objective import Objective
from stackopt.choose.model.passes import Solution, taken_up
from stackopt.choose.model.program import Job, Program
from stackopt.choose.model.purchase import BesideTheShelf
from stackopt.choose.patience import Patience
from stackopt.choose.solve.groups import Group, shelf_program
from stackopt.choose.solve.progress import Progress, Reached
from stackopt.parts.part_records import Supply
from stackopt.parts.sources import Source
from stackopt.side_by_side import each_by


class Brought(Struct, frozen=True):
    """What came back: the variables that are not 0, what passes reached, and what is ordered where, cents.

    `on_shelf` tells that the model had no purchases. `choice` is what it means, once every objective is solved for.
    """

    solution: Solution
    on_shelf: bool
    lines_cents: dict[str, int]
    choice: Choice | None


class Errand(Struct, frozen=True):
    """What is sent: a group, the suppliers open to it, and up to which objective it is to be solved in which time.

    `least` are lower bounds of the objectives. `anew` tells that the group was not solved at all so far; `brought` is
    where solving goes on. `lines` and `quarters` change the model, as `Group.stated` says.
    """

    jobs: tuple[Job, ...]
    sources: tuple[Source, ...]
    settled: frozenset[str]
    supply: Supply
    objectives: tuple[Objective, ...]
    beside: BesideTheShelf
    own: frozenset[str]
    position: int
    seconds: float
    least: tuple[float, ...] = ()
    anew: bool = True
    brought: Brought | None = None
    lines: dict[str, int] = {}
    quarters: dict[str, int] = {}

    def done(self, patience: Patience) -> Brought:
        """Solve the group as far as is asked."""
        group = Group(self.jobs, self.sources, self.settled, self.supply, self.objectives, patience, self.beside)
        on_shelf, progress = self._begun(group)
        progress.solve(self.objectives[: self.position + 1], patience)
        found = progress.solution
        return Brought(
            Solution({name: value for name, value in found.values.items() if value}, found.passes),
            on_shelf,
            progress.lines_cents(),
            progress.choice() if len(found.passes) == len(self.objectives) else None,
        )

    def _begun(self, group: Group) -> tuple[bool, Progress]:
        if self.brought is not None:
            on_shelf = self.brought.on_shelf
            program = self._stated(group, on_shelf=on_shelf)
            return on_shelf, Progress(program, taken_up(program, self.objectives, self.brought.solution))
        from_shelf = group.shelf_progress() if self.anew else None
        return from_shelf is not None, from_shelf or group.begun(self.own, self.least, self.lines, self.quarters)

    def _stated(self, group: Group, *, on_shelf: bool) -> Program:
        return shelf_program(group.task()) if on_shelf else group.stated(self.own, self.lines, self.quarters)


class Away(Reached):
    """What a group has reached with others, and what it takes to solve it on."""

    errand: Errand
    brought: Brought

    @property
    def solution(self) -> Solution:
        """What each pass reached; of the variables only those that are not 0."""
        return self.brought.solution

    def solve(self, objectives: Sequence[Objective], patience: Patience) -> None:
        """Solve on, here, up to and with the last of these objectives."""
        if len(objectives) > len(self.brought.solution.passes):
            self.brought = replace(self.errand, position=len(objectives) - 1, brought=self.brought).done(patience)

    def lines_cents(self) -> dict[str, int]:
        """Return what the lines at each supplier ordered from come to in the solution so far, cents."""
        return self.brought.lines_cents

    def choice(self) -> Choice:
        """Return what the solution means."""
        assert self.brought.choice is not None
        return self.brought.choice


def run(errand: Errand) -> Brought:
    """Solve what was sent; this is what others call."""
    return errand.done(Patience.of_seconds(errand.seconds))


def solve_away(
    executor: Executor | None, groups: Sequence[object], opened: frozenset[str], position: int, *, to_the_end: bool
) -> None:
    """Let others solve groups up to and with the objective at a position, and leave what comes back with these.

    Where all objectives will be asked for, and no time limit says to solve every group for the first ones first, they
    are solved `to_the_end` at once. What does not come back is left as it was, and so is what is no single group. One
    group alone is not worth sending.
    """
    if executor is None:
        return
    asked = [each for each in groups if isinstance(each, Group) and each.known(opened, position) is None]
    if to_the_end and asked and math.isinf(asked[0].patience.ends_at):
        position = len(asked[0].objectives) - 1
    errands = [_errand(group, opened, position) for group in asked]
    for group, errand, solved in zip(asked, errands, _run_away(executor, asked, errands), strict=True):
        if solved is not None:
            group.answers[errand.own] = solved


def discount_away(
    executor: Executor | None,
    groups: Sequence[object],
    opened: frozenset[str],
    quarters: Mapping[str, int],
    position: int,
) -> None:
    """Let others solve groups whose lines at some suppliers cost so much less; as `Group.at_a_discount` asks for it."""
    if executor is None:
        return
    solve_away(executor, groups, opened, position, to_the_end=False)
    asked, errands = [], []
    for group in (each for each in groups if isinstance(each, Group)):
        own, discounts = group.discounts(opened, quarters)
        known = group.known(opened, position)
        if discounts and known is not None and (own, discounts) not in group.discounted:
            asked.append(group)
            errand = _new_errand(group, own, position, known.values(position))
            errands.append(replace(errand, anew=False, quarters=dict(discounts)))
    for group, errand, solved in zip(asked, errands, _run_away(executor, asked, errands), strict=True):
        if solved is not None:
            group.discounted[errand.own, frozenset(errand.quarters.items())] = solved


def lines_away(
    executor: Executor | None, asked: Sequence[tuple[Group, int]], opened: frozenset[str], supplier: str, position: int
) -> list[Away | None]:
    """Let others solve groups whose lines at a supplier must come to at least so much, cents.

    Returns
    -------
    list[Away | None]
        What each reaches, which may be fewer cents where it cannot come to so much; None where nothing came back.
    """
    solve_away(executor, [group for group, _ in asked], opened, position, to_the_end=False)
    known = [group.known(opened, position) for group, _ in asked]
    groups, errands = [], []
    for (group, cents), least in zip(asked, known, strict=True):
        if least is not None:
            groups.append(group)
            errand = _new_errand(group, group.settled & opened, position, least.values(position + 1))
            errands.append(replace(errand, anew=False, lines={supplier: cents}))
    came = iter(_run_away(executor, groups, errands))
    return [None if least is None else next(came) for least in known]


def on_away(executor: Executor | None, begun: Sequence[tuple[Group, Away]], position: int) -> None:
    """Let others solve on what they have begun, up to and with the objective at a position."""
    asked = [(group, away) for group, away in begun if len(away.brought.solution.passes) <= position]
    errands = [
        replace(away.errand, position=position, seconds=group.patience.seconds_left, brought=away.brought)
        for group, away in asked
    ]
    came = _run_away(executor, [group for group, _ in asked], errands)
    for (_, away), solved in zip(asked, came, strict=True):
        if solved is not None:
            away.brought = solved.brought


def _run_away(executor: Executor | None, groups: Sequence[Group], errands: Sequence[Errand]) -> list[Away | None]:
    """Let others run errands, one a group; None for what did not come back, and where it is not worth sending."""
    if executor is None or len(errands) < 2 or groups[0].patience.over:
        return [None for _ in errands]
    came = each_by(executor, run, errands, groups[0].patience.given_up)
    return [
        None if brought is None else Away(replace(errand, brought=None), brought)
        for errand, brought in zip(errands, came, strict=True)
    ]


def _errand(group: Group, opened: frozenset[str], position: int) -> Errand:
    own = group.settled & opened
    before = group.answers.get(own)
    if isinstance(before, Away):
        return replace(before.errand, position=position, seconds=group.patience.seconds_left, brought=before.brought)
    return _new_errand(group, own, position, group.least(opened, position))


def _new_errand(group: Group, own: frozenset[str], position: int, least: Sequence[float]) -> Errand:
    sellers = {source.offer.supplier for source in group.sources}
    needed = {part for job in group.jobs for part in job.needs()}
    fitted = {piece.part for job in group.jobs for seat in job.stacks for stack in seat for piece in stack.pieces}
    return Errand(
        tuple(replace(job, apart=None) for job in group.jobs),
        group.sources,
        group.settled,
        _own_supply(group, sellers, needed, fitted),
        tuple(group.objectives),
        BesideTheShelf(
            {name: fillers for name, fillers in group.beside.fillers.items() if name in sellers},
            {part: coming for part, coming in group.beside.coming.items() if part in needed},
        ),
        own,
        position,
        group.patience.seconds_left,
        tuple(least),
        not group.answers,
    )


def _own_supply(group: Group, sellers: set[str], needed: set[str], fitted: set[str]) -> Supply:
    """Return what a group can use of the supply: what its engines need and have, kits that hold it, who sells it."""
    supply = group.supply
    kits = {number: kit for number, kit in supply.kits.items() if needed.intersection(kit.contents)}
    brought = {part for source in group.sources for part in (source.offer.part, *source.pieces_per_pack)}
    used = needed.union(fitted, brought, kits, *(kit.contents for kit in kits.values()))
    return Supply(
        parts={number: supply.parts[number] for number in sorted(used & supply.parts.keys())},
        stock={number: supply.stock[number] for number in sorted(used & supply.stock.keys())},
        suppliers={name: terms for name, terms in supply.suppliers.items() if name in sellers},
        kits=kits,
    )
