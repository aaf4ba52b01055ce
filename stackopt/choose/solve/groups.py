"""Groups of engines that share no part: each is a small model of its own, solved as far as it is asked for.

Only shared parts and suppliers' terms tie engines together. Once it is settled which suppliers are ordered from, a
group can be solved by itself, and the objectives of the groups add up.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Collection, Mapping, Sequence

from msgspec import Struct, field
from msgspec.structs import replace

from stackopt.choose.model.at_once import solved_at_once
from stackopt.choose.model.objective import Objective
from stackopt.choose.model.objectives import asked_by
from stackopt.choose.model.passes import first_solution, solve_at_least_values
from stackopt.choose.model.program import Job, Program, build_program
from stackopt.choose.model.purchase import NO_SUPPLIERS, NOTHING_BESIDE, BesideTheShelf
from stackopt.choose.patience import Patience
from stackopt.choose.solve.progress import Progress, Reached
from stackopt.choose.solve.task import Task
from stackopt.parts.part_records import Supply
from stackopt.parts.sources import Source

# What is tried off the lines at a supplier, to bound what more of them must cost.
SHARES_IN_QUARTERS = (1, 2, 4)

# Which suppliers are open, and how many quarters are off the lines at some of them.
Discounts = tuple[frozenset[str], frozenset[tuple[str, int]]]


class Group(Struct):
    """Engines that share parts, and the lines that bring these.

    `settled` are those of its suppliers whose freight is paid, or not, outside the group's own model.
    """

    jobs: tuple[Job, ...]
    sources: tuple[Source, ...]
    settled: frozenset[str]
    supply: Supply
    objectives: Sequence[Objective]
    patience: Patience
    beside: BesideTheShelf = NOTHING_BESIDE
    answers: dict[frozenset[str], Reached] = field(default_factory=dict)
    discounted: dict[Discounts, Reached] = field(default_factory=dict)
    at_once: dict[frozenset[str], Progress] = field(default_factory=dict)

    def at_a_discount(self, opened: Collection[str], quarters: Mapping[str, int], position: int) -> float:
        """Return what the group spends, the objective at a position, if lines at some suppliers cost so much less.

        Objectives before it know no prices: they reach what they do without.
        """
        undiscounted = self.solved(opened, position)
        own, discounts = self.discounts(opened, quarters)
        if not discounts:
            return undiscounted.solution.passes[position].value
        if (own, discounts) not in self.discounted:
            known = undiscounted.values(position)
            self.discounted[own, discounts] = self.begun(own, known, quarters=dict(discounts))
        progress = self.discounted[own, discounts]
        progress.solve(self.objectives[: position + 1], self.patience)
        return progress.solution.passes[position].value

    def discounts(self, opened: Collection[str], quarters: Mapping[str, int]) -> Discounts:
        """Return which of its suppliers are open, and what is off the lines at which of them."""
        own = self.settled.intersection(opened)
        return own, frozenset((name, off) for name, off in quarters.items() if name in own)

    def known(self, opened: Collection[str], position: int) -> Reached | None:
        """Return the model for these open suppliers if it is solved up to and with the objective at a position.

        A solution found with more suppliers open that buys nothing from the others is as good here.
        """
        own = self.settled.intersection(opened)
        for wider, progress in self.answers.items():
            if len(progress.solution.passes) <= position:
                continue
            if own == wider or (own < wider and not progress.suppliers() & (wider - own)):
                return progress
        return None

    def least(self, opened: Collection[str], position: int) -> list[float]:
        """Return a lower bound of each objective up to one at a position: its value with more suppliers open."""
        known = self.known(opened, position)
        if known is not None:
            return known.values(position + 1)
        own = self.settled.intersection(opened)
        wider = (progress.values(position + 1) for names, progress in self.answers.items() if own < names)
        reached = (values for values in wider if len(values) > position)
        return max(reached, default=[0.0] * (position + 1))

    def solved(self, opened: Collection[str], position: int) -> Reached:
        """Return the model for these open suppliers, solved up to and with the objective at a position."""
        known = self.known(opened, position)
        if known is not None:
            return known
        own = self.settled.intersection(opened)
        if own not in self.answers:
            self.answers[own] = self._first(own, self.least(opened, position))
        progress = self.answers[own]
        progress.solve(self.objectives[: position + 1], self.patience)
        if self.patience.over and not all(each.proven for each in progress.solution.passes):
            self.answers[own] = self._better_at_once(progress, own)
        return self.answers[own]

    def _first(self, own: frozenset[str], least: Sequence[float]) -> Progress:
        """Return the model for these of its suppliers, as far as there is time to begin with it.

        Where there is none, an answer at once will do if it finishes every engine, or if time was over long ago.
        """
        if not self.patience.over:
            return self.shelf_progress() or self.begun(own, least)
        at_once = self._at_once(own)
        return at_once if not at_once.solution.passes[0].value or self.patience.long_over() else self.begun(own, least)

    def _at_once(self, own: frozenset[str]) -> Progress:
        if own not in self.at_once:
            settled = dict.fromkeys(self.settled, 0)
            asked = asked_by(self.objectives, settled, self.beside)
            sources = self._open_sources(own, NO_SUPPLIERS)
            self.at_once[own] = Progress(*solved_at_once(self.jobs, self.supply, sources, self.objectives, asked))
        return self.at_once[own]

    def _better_at_once(self, cut_short: Reached, own: frozenset[str]) -> Reached:
        """Return an answer at once where it is better than one that was cut short."""
        at_once, found = self._at_once(own), cut_short.values(len(self.objectives))
        return at_once if at_once.values(len(found)) < found else cut_short

    def proven_bound(self, opened: Collection[str], position: int) -> float:
        """Return below what an objective is proven not to be with these suppliers open; 0 where nothing is known."""
        known = self.answers.get(self.settled.intersection(opened))
        passes = () if known is None else known.solution.passes
        return passes[position].bound if len(passes) > position else 0.0

    def nearer(self, opened: Collection[str], position: int) -> Reached | None:
        """Come nearer to what `solved` returns: all the way, as a single group is solved at once."""
        return self.solved(opened, position)

    def with_lines(self, opened: Collection[str], supplier: str, least_cents: int, position: int) -> Progress | None:
        """Return the model solved up to and with an objective, its lines at a supplier coming to at least so much.

        None where they cannot, or no time was left.
        """
        least = self.solved(opened, position).values(position + 1)
        progress = self.begun(self.settled.intersection(opened), least, lines={supplier: least_cents})
        progress.solve(self.objectives[: position + 1], self.patience)
        return progress if progress.lines_cents().get(supplier, 0) >= least_cents else None

    def _in_one_pass(
        self, sources: Sequence[Source], least: Sequence[float], lines: Mapping[str, int]
    ) -> Progress | None:
        """Return the model solved for what is spent, if the objectives before can be kept at their least."""
        before = [objective.name for objective in self.objectives].index("spend")
        objectives = self.objectives[: before + 1]
        if len(least) < before or self.patience.over or any(each.step != 1 for each in objectives[:before]):
            return None
        program = self._program(sources, lines)
        solution = solve_at_least_values(program, objectives, least[:before], self.patience)
        return None if solution is None else Progress(program, solution)

    def begun(
        self,
        own: frozenset[str],
        least: Sequence[float],
        lines: Mapping[str, int] = NO_SUPPLIERS,
        quarters: Mapping[str, int] = NO_SUPPLIERS,
    ) -> Progress:
        """Return the model for these of its suppliers: solved for what is spent, where it reaches its least before.

        `lines` and `quarters` as `stated` takes them.
        """
        done = self._in_one_pass(self._open_sources(own, quarters), least, lines)
        if done is not None:
            return done
        program = self.stated(own, lines, quarters)
        return Progress(program, first_solution(program))

    def shelf_progress(self) -> Progress | None:
        """Return what the shelf alone reaches, where that is best; it is looked at before anything else."""
        return None if self.answers else from_the_shelf(self.task())

    def task(self) -> Task:
        """Return what is to be solved."""
        return Task(self.jobs, self.supply, self.sources, self.objectives, self.patience, self.beside)

    def stated(
        self,
        own: frozenset[str],
        lines: Mapping[str, int] = NO_SUPPLIERS,
        quarters: Mapping[str, int] = NO_SUPPLIERS,
    ) -> Program:
        """State the model for these of its suppliers.

        `lines` are what the lines at some suppliers must come to, cents; at those in `quarters` lines are so much
        cheaper.
        """
        return self._program(self._open_sources(own, quarters), lines)

    def _program(self, sources: Sequence[Source], lines: Mapping[str, int]) -> Program:
        settled = {name: lines.get(name, 0) for name in self.settled}
        return build_program(self.jobs, self.supply, sources, asked_by(self.objectives, settled, self.beside))

    def _open_sources(self, own: frozenset[str], quarters: Mapping[str, int]) -> list[Source]:
        closed = self.settled - own
        opened = (source for source in self.sources if source.offer.supplier not in closed)
        return [_discounted(source, quarters.get(source.offer.supplier, 0)) for source in opened]


def _discounted(source: Source, quarters: int) -> Source:
    """Return a line cheaper by so many quarters, cents rounded down."""
    if quarters == 0:
        return source
    tiers = tuple(replace(tier, price_cents=tier.price_cents * (4 - quarters) // 4) for tier in source.offer.tiers)
    return replace(source, offer=replace(source.offer, tiers=tiers))


# Objectives that are 0 where every engine is finished and nothing is bought.
COSTS = frozenset({"blocked", "special-orders", "orders", "spend", "wait"})


def from_the_shelf(task: Task) -> Progress | None:
    """Return the model without any purchase, solved for its first objective, where that is as good as the whole one.

    It is where every engine can be finished so, spending counts before all objectives that would not be 0 then, and
    nothing is given away free. None where it is not.
    """
    objectives = task.objectives
    if not buys_only_what_is_short(task.sources, objectives):
        return None
    if task.beside.coming and any(objective.name == "wait" for objective in objectives):
        return None
    jobs = _shelf_jobs(task)
    if not all(stacks for job in jobs for stacks in job.stacks):
        return None
    program = _without_purchases(task, jobs)
    progress = Progress(program, first_solution(program))
    progress.solve(objectives[:1], task.patience)
    return progress if progress.solution.passes[0].value == 0 else None


def shelf_program(task: Task) -> Program:
    """State the model without any purchase."""
    return _without_purchases(task, _shelf_jobs(task))


def _shelf_jobs(task: Task) -> list[Job]:
    here = at_no_cost(task)
    return [shelf_job(job, here) for job in task.jobs]


def _without_purchases(task: Task, jobs: Sequence[Job]) -> Program:
    return build_program(jobs, task.supply, (), asked_by(task.objectives, beside=task.beside))


def buys_only_what_is_short(sources: Sequence[Source], objectives: Sequence[Objective]) -> bool:
    """Tell whether nothing is bought where the shelf finishes every engine: no gifts, and nothing else before spend."""
    names = [objective.name for objective in objectives]
    gifts = any(tier.price_cents <= 0 for source in sources for tier in source.offer.tiers)
    return not gifts and COSTS.issuperset(names[: names.index("spend")])


def at_no_cost(task: Task) -> Collection[str]:
    """Return the parts that the jobs need of which a piece is here, in a kit here, or under way."""
    needed = {part for job in task.jobs for part in job.needs()}
    return _parts_here(task.supply, needed) | task.beside.coming.keys()


def _parts_here(supply: Supply, needed: set[str]) -> set[str]:
    """Return the parts among those needed of which a piece is free on the shelf or in a kit there."""
    here = {part for part in needed if supply.free(part) > 0}
    for kit in supply.kits.values():
        if not here.issuperset(inside := kit.contents.keys() & needed) and supply.free(kit.number) > 0:
            here |= inside
    return here


def pieces_here(supply: Supply) -> Counter[str]:
    """Return how many pieces of each part are free on the shelf and in kits there; parts without any are left out."""
    pieces = Counter({part: free for part in supply.stock if (free := supply.free(part)) > 0})
    for kit in supply.kits.values():
        for _ in range(pieces.get(kit.number, 0)):
            pieces.update(kit.contents)
    return pieces


def shelf_job(job: Job, here: Collection[str]) -> Job:
    """Return a job with those of its stacks that need nothing but these parts, and cost nothing."""
    stacks = (
        tuple(
            stack
            for stack in own
            if not any(work.price_cents for work in stack.work) and all(part in here for part, _ in stack.uses)
        )
        for own in job.stacks
    )
    return replace(job, stacks=tuple(stacks))
