"""The linear model: one stack a cylinder or a blocked engine, from what the shelf holds and the suppliers bring.

Rows are named, so that the model can be written out as an LP file and read.
"""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Iterator, Mapping, Sequence
from functools import cached_property
from itertools import combinations

import pulp
from msgspec import Struct, field
from msgspec.structs import replace

from stackopt.choose.model.purchase import NOTHING_MORE, ModelRequest, Purchases, Terms, add_purchases, label
from stackopt.choose.model.solver import LinearModel, weighted_sum
from stackopt.choose.model.waiting import User, Waiting, add_waiting
from stackopt.choose.stacks.fittable import Stack
from stackopt.choose.stacks.together import binds_cylinders, stacks_match
from stackopt.engine.engine_records import Engine
from stackopt.parts.part_records import Supply
from stackopt.parts.sources import Source


class Job(Struct, frozen=True):
    """One engine in the model: the days its parts may take, and the stacks that each cylinder may get.

    `barred` are choices that must not come out again: for each cylinder the names of its pieces and of its work.
    `apart` are the stacks of cylinders worked each by itself, where some that could be best are not among `stacks`.
    """

    engine: Engine
    days: float
    stacks: tuple[tuple[Stack, ...], ...]
    barred: tuple[tuple[tuple[str, ...], ...], ...] = ()
    apart: tuple[tuple[Stack, ...], ...] | None = None

    def needs(self) -> dict[str, int]:
        """Return the most pieces of each part that this engine can use."""
        total: dict[str, int] = defaultdict(int)
        for stacks in self.stacks:
            most: dict[str, int] = defaultdict(int)
            for stack in stacks:
                for part, quantity in stack.uses:
                    most[part] = max(most[part], quantity)
            for part, quantity in most.items():
                total[part] += quantity
        return dict(total)


class JobColumns(Struct, frozen=True):
    """The variables of one engine: `fit[cylinder][stack]`, and whether the engine is blocked.

    `once` has work that is paid once for the engine, with what it costs, cents.
    """

    job: Job
    fit: tuple[tuple[pulp.LpVariable, ...], ...]
    blocked: pulp.LpVariable
    once: tuple[tuple[pulp.LpVariable, int], ...] = ()

    def stacks_with_columns(self) -> Iterator[tuple[Stack, pulp.LpVariable]]:
        """Yield every stack with its variable, over all cylinders."""
        for stacks, columns in zip(self.job.stacks, self.fit, strict=True):
            yield from zip(stacks, columns, strict=True)


class Program(Struct, frozen=True, dict=True):
    """The model and its variables, by what they mean.

    `opened` counts kits opened from the shelf; `taken` pieces taken from the shelf, for parts whose use has a cost;
    `waits` says by engine how long it waits, where that is asked.
    """

    problem: pulp.LpProblem
    jobs: tuple[JobColumns, ...]
    purchases: Purchases
    opened: Mapping[str, pulp.LpVariable]
    taken: Mapping[str, pulp.LpVariable]
    supply: Supply
    waits: Mapping[str, Waiting] = field(default_factory=dict)

    @cached_property
    def variables(self) -> Sequence[pulp.LpVariable]:
        """All variables of the model; PuLP gathers them anew from all rows whenever it is asked."""
        return tuple(self.problem.variables())

    def here(self, part: str) -> tuple[Terms, int]:
        """Return what is here of a part without buying: terms, and a number of pieces."""
        taken = self.taken.get(part)
        if taken is None:
            return self.from_kits(part), self.supply.free(part)
        return [*self.from_kits(part), (taken, 1)], 0

    def engine_work_terms(self) -> Terms:
        """Return what work costs that is paid once for an engine."""
        return [term for columns in self.jobs for term in columns.once]

    def from_kits(self, part: str) -> Terms:
        """Return the pieces of a part out of kits opened from the shelf, as terms."""
        return [
            (column, self.supply.kits[kit].contents[part])
            for kit, column in self.opened.items()
            if part in self.supply.kits[kit].contents
        ]


def build_program(
    jobs: Sequence[Job], supply: Supply, sources: Sequence[Source], asked: ModelRequest = NOTHING_MORE
) -> Program:
    """State the model for these jobs; variables are whole, and every row holds for any order of objectives.

    `asked` says what the model must tell beyond who gets what.
    """
    problem = LinearModel("stackopt")
    need: dict[str, int] = defaultdict(int)
    for job in jobs:
        for part, quantity in job.needs().items():
            need[part] += quantity
    job_columns = tuple(_add_job(problem, number, job) for number, job in enumerate(jobs))
    opened = {
        number: problem.add_variable(f"opened_{label(number, str(position))}", 0, most, "Integer")
        for position, (number, most) in enumerate(_kits_worth_opening(supply, need))
    }
    taken = {
        part: problem.add_variable(f"taken_{label(part, str(position))}", 0, supply.free(part), "Integer")
        for position, part in enumerate(sorted(need))
        if supply.free(part) > 0 and supply.unit_cost_cents(part) > 0
    }
    purchases = add_purchases(problem, sources, supply, need, asked)
    program = Program(problem, job_columns, purchases, opened, taken, supply)
    for position, (part, uses) in enumerate(sorted(uses_by_part(job_columns).items())):
        _add_supply_rows(program, label(part, str(position)), part, uses)
    if not asked.waiting:
        return program
    users = [_user(columns) for columns in job_columns]
    return replace(program, waits=add_waiting(problem, users, program.purchases, program.here))


def _user(columns: JobColumns) -> User:
    uses: dict[str, Terms] = defaultdict(list)
    for stack, fitted in columns.stacks_with_columns():
        for part, quantity in stack.uses:
            uses[part].append((fitted, quantity))
    return User(columns.job.engine.name, columns.job.days, uses, columns.job.needs())


def uses_by_part(jobs: Sequence[JobColumns]) -> dict[str, dict[float, Terms]]:
    """Return what jobs use of each part, as terms, by the days that the job's parts may take."""
    uses: dict[str, dict[float, Terms]] = defaultdict(lambda: defaultdict(list))
    for columns in jobs:
        for stack, fitted in columns.stacks_with_columns():
            for part, quantity in stack.uses:
                uses[part][columns.job.days].append((fitted, quantity))
    return uses


def _kits_worth_opening(supply: Supply, need: Mapping[str, int]) -> Iterator[tuple[str, int]]:
    """Yield the kits on the shelf that hold a needed part, with how many it can make sense to open."""
    for number, kit in sorted(supply.kits.items()):
        if need.keys().isdisjoint(kit.contents):
            continue
        wanted = max((math.ceil(need.get(part, 0) / quantity) for part, quantity in kit.contents.items()), default=0)
        most = min(supply.free(number), wanted)
        if most > 0:
            yield number, most


def _add_job(problem: pulp.LpProblem, number: int, job: Job) -> JobColumns:
    name = label(job.engine.name, str(number))
    blocked = problem.add_variable(f"blocked_{name}", 0, 1, "Integer")
    fit = tuple(
        tuple(problem.add_variable(f"fit_{name}_{seat}_{index}", 0, 1, "Integer") for index in range(len(stacks)))
        for seat, stacks in enumerate(job.stacks)
    )
    for seat, fitted in enumerate(fit):
        row = weighted_sum([*((column, 1) for column in fitted), (blocked, 1)]) == 1
        problem.addConstraint(row, f"one_stack_{name}_{seat}")
    columns = JobColumns(job, fit, blocked, tuple(_add_work_paid_once(problem, name, job, fit)))
    for earlier, later in combinations(range(len(fit)), 2):
        _add_match_rows(problem, f"{name}_{earlier}_{later}", columns, (earlier, later))
        if earlier == 0:
            _add_shared_rows(problem, f"{name}_{later}", columns, later)
    for position, pieces in enumerate(job.barred):
        again: Terms = [
            (column, 1)
            for own, stacks, fitted in zip(pieces, job.stacks, fit, strict=True)
            for stack, column in zip(stacks, fitted, strict=True)
            if stack.names == own
        ]
        problem.addConstraint(weighted_sum(again) <= len(pieces) - 1, f"not_again_{name}_{position}")
    return columns


def _add_work_paid_once(
    problem: pulp.LpProblem, name: str, job: Job, fit: Sequence[Sequence[pulp.LpVariable]]
) -> Iterator[tuple[pulp.LpVariable, int]]:
    """Add for each kind of work with a price for the engine whether it is done on any cylinder; yield it with that."""
    priced = {
        work.lever: work.price_cents or 0
        for stacks in job.stacks
        for stack in stacks
        for work in stack.work
        if work.per_engine
    }
    for lever, price_cents in priced.items():
        kind = f"{label(str(lever), lever.name)}_{name}"
        done = problem.add_variable(f"work_{kind}", 0, 1, "Integer")
        for seat, (stacks, fitted) in enumerate(zip(job.stacks, fit, strict=True)):
            so_worked: Terms = [
                (column, 1)
                for stack, column in zip(stacks, fitted, strict=True)
                if any(work.per_engine and work.lever is lever for work in stack.work)
            ]
            if so_worked:
                problem.addConstraint(weighted_sum([*so_worked, (done, -1)]) <= 0, f"paid_{kind}_{seat}")
        yield done, price_cents


def _add_shared_rows(problem: pulp.LpProblem, name: str, columns: JobColumns, seat: int) -> None:
    """Let two cylinders take the same shared pieces or none, since a shared piece lies on both."""
    by_shared: dict[tuple[str, ...], Terms] = defaultdict(list)
    for cylinder, sign in ((0, 1), (seat, -1)):
        for stack, fitted in zip(columns.job.stacks[cylinder], columns.fit[cylinder], strict=True):
            by_shared[stack.shared].append((fitted, sign))
    for position, (shared, terms) in enumerate(sorted(by_shared.items(), key=lambda item: item[0])):
        if shared:
            problem.addConstraint(weighted_sum(terms) == 0, f"shared_{name}_{position}")


def _add_match_rows(problem: pulp.LpProblem, name: str, columns: JobColumns, seats: tuple[int, int]) -> None:
    """Let a stack be fitted on one cylinder only beside a stack on the other that matches it: exact, edge included."""
    if not binds_cylinders(columns.job.engine):
        return
    first, second = (tuple(zip(columns.job.stacks[seat], columns.fit[seat], strict=True)) for seat in seats)
    for position, (stack, fitted) in enumerate(first):
        partners = [(column, -1) for other, column in second if stacks_match(columns.job.engine, stack, other)]
        problem.addConstraint(weighted_sum([(fitted, 1), *partners]) <= 0, f"match_{name}_{position}")


def _add_supply_rows(program: Program, name: str, part: str, uses: Mapping[float, Terms]) -> None:
    """Hold what jobs due by a day use to what is there by then; of days with the same arrivals the last is enough."""
    from_shelf, free = program.here(part)
    used: Terms = []
    days_in_order = sorted(uses)
    for days, following in zip(days_in_order, [*days_in_order[1:], None], strict=True):
        used = used + uses[days]
        arrivals = program.purchases.arrivals(part, days)
        if following is not None and len(program.purchases.arrivals(part, following)) == len(arrivals):
            continue
        terms = used + [(column, -pieces) for column, pieces in arrivals + from_shelf]
        due = "any_day" if math.isinf(days) else f"day_{days:.0f}".replace("-", "minus_")
        program.problem.addConstraint(weighted_sum(terms) <= free, f"supply_{name}_{due}")
