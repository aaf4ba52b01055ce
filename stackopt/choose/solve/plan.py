"""One plan for all open engines; a single engine is a plan with one."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from datetime import date
from itertools import repeat

from msgspec.structs import replace

from stackopt.choose.choice_records import Choice, Request
from stackopt.choose.coming import coming_from
from stackopt.choose.model.fillers import find_fillers
from stackopt.choose.model.objective import Objective
from stackopt.choose.model.objectives import Chance, in_order
from stackopt.choose.model.outcome import as_handed_out
from stackopt.choose.model.program import Job
from stackopt.choose.model.purchase import BesideTheShelf, Coming
from stackopt.choose.solve.split import solve_split
from stackopt.choose.solve.task import Task
from stackopt.choose.solve.unbound import as_far_as_proven, leaves_depths_out
from stackopt.choose.solve.whole import solve_whole
from stackopt.choose.stacks.candidates import candidate_stacks
from stackopt.choose.stacks.chance import with_chances
from stackopt.choose.stacks.fittable import Stack
from stackopt.choose.stacks.impossible import impossibilities
from stackopt.engine.engine_records import Engine
from stackopt.parts.part_records import ANY_FAMILY, Kind, Part, Supply
from stackopt.parts.sources import Source, days_until, obtainable_parts, purchase_sources
from stackopt.problems import InputError


def plan(request: Request, supply: Supply) -> Choice:
    """Choose for every engine of a request what is fitted, and what is bought for it.

    Raises
    ------
    InputError
        When an objective's name is not known.
    """
    return solved(make_task(request, supply))


def plan_in_time(request: Request, supply: Supply) -> Choice:
    """Choose as `plan` does, or not at all.

    Raises
    ------
    TimeIsOverError
        When the request's patience is over: what was cut short proves nothing.
    """
    request.patience.go_on()
    choice = plan(request, supply)
    request.patience.go_on()
    return choice


def make_task(request: Request, supply: Supply) -> Task:
    """State what is to be solved for a request: every stack of every cylinder, every source, what counts in order.

    Raises
    ------
    InputError
        When an objective's name is not known.
    """
    objectives = in_order(request.prefer, request.levers, request.previous)
    sources = purchase_sources(supply)
    jobs = make_jobs(request, supply, sources)
    coming = coming_pieces(supply, request.today, {part for job in jobs for part in job.needs()})
    beside = BesideTheShelf(coming=coming)
    task = Task(jobs, supply, sources, objectives, request.patience, beside, request.executor)
    return _with_fillers(task)


def in_this_order(task: Task, objectives: Sequence[Objective]) -> Task:
    """Return a task with its objectives in another order, and with the fillers that go with it."""
    other = replace(task, objectives=objectives)
    return other if _special_too(objectives) == _special_too(task.objectives) else _with_fillers(other)


def _with_fillers(task: Task) -> Task:
    needed = {part for job in task.jobs for part in job.needs()}
    fillers = find_fillers(task.sources, needed, task.supply, special_too=_special_too(task.objectives))
    return replace(task, beside=replace(task.beside, fillers=fillers))


def _special_too(objectives: Sequence[Objective]) -> bool:
    """Tell whether special orders may fill an order: only where money counts before them."""
    names = [objective.name for objective in objectives]
    return names.index("spend") < names.index("special-orders")


def coming_pieces(supply: Supply, today: date, needed: Collection[str]) -> dict[str, tuple[Coming, ...]]:
    """Return the pieces of needed parts that are under way, by part, where somebody says when they come.

    What should be here already and is not comes today at the earliest.
    """
    coming: dict[str, tuple[Coming, ...]] = {}
    for each in supply.under_way:
        if each.day is not None and each.part in needed:
            days = max(0, (each.day - today).days)
            lot = Coming(days, each.quantity, coming_from(each.branch))
            coming[each.part] = (*coming.get(each.part, ()), lot)
    return coming


def checked_task(request: Request, supply: Supply) -> Task:
    """State what is to be solved as `make_task` does, but refuse a single engine whose measures cannot be.

    Of several engines such a one is blocked, and its reason says what is wrong.

    Raises
    ------
    InputError
        When an objective's name is not known, or the one engine's measures give what no engine has.
    """
    if len(request.engines) == 1:
        (engine,) = request.engines
        days = days_until(engine.due, request.today)
        numbers = obtainable_parts(supply, purchase_sources(supply), days, request.today)
        problems = [*impossibilities(engine, _candidates(engine, supply, _by_family(supply, numbers)))]
        if problems:
            raise InputError(*problems)
    return make_task(request, supply)


def solved(task: Task) -> Choice:
    """Return the choice for a task; several engines are split into groups that do not touch one another.

    Of answers that are as good in everything the same comes out whatever the order of the engines.
    """
    choice = as_handed_out(solve_whole(task) if len(task.jobs) == 1 else _split_by_name(task), task.supply)
    if any(job.apart is not None for job in task.jobs):
        return as_far_as_proven(choice, task, solved)
    return choice


def _split_by_name(task: Task) -> Choice:

    choice = solve_split(replace(task, jobs=sorted(task.jobs, key=lambda job: job.engine.name)))
    by_name = {engine.engine: engine for engine in choice.engines}
    return replace(choice, engines=tuple(by_name[job.engine.name] for job in task.jobs))


def without_stacks(request: Request, supply: Supply) -> frozenset[str]:
    """Return the engines with a cylinder that no stack fits of all that can be here in time; nothing is solved."""
    jobs = make_jobs(request, supply, purchase_sources(supply))
    return frozenset(job.engine.name for job in jobs if not all(job.stacks))


def make_jobs(request: Request, supply: Supply, sources: Sequence[Source]) -> list[Job]:
    """Work out every stack of every cylinder from the parts that can be here by the engine's due date."""
    by_days: dict[float, Mapping[str, list[Part]]] = {}
    jobs = []
    for engine in request.engines:
        days = days_until(engine.due, request.today)
        if days not in by_days:
            by_days[days] = _by_family(supply, obtainable_parts(supply, sources, days, request.today))
        parts = _candidates(engine, supply, by_days[days])
        stacks = _stacks(request, engine, supply, parts)
        if any(impossibilities(engine, parts)):
            stacks = tuple(() for _ in engine.cylinders)
        loose = leaves_depths_out(engine, parts, chance_counts=Chance.name in request.prefer)
        jobs.append(
            Job(engine, days, stacks, apart=_stacks(request, engine, supply, parts, apart=True) if loose else None)
        )
    return jobs


def _by_family(supply: Supply, numbers: frozenset[str]) -> dict[str, list[Part]]:
    """Group the parts of these numbers by the families they name, each in the order of the numbers; kits go on none."""
    families: dict[str, list[Part]] = {}
    for number in sorted(numbers & supply.parts.keys()):
        if supply.parts[number].kind is Kind.KIT:
            continue
        for family in supply.parts[number].families:
            families.setdefault(family, []).append(supply.parts[number])
    return families


def _candidates(engine: Engine, supply: Supply, families: Mapping[str, list[Part]]) -> list[Part]:
    fitted = {number for numbers in engine.pinned.values() for number in numbers}
    parts = {part.number: part for family in (engine.family, ANY_FAMILY) for part in families.get(family, ())}
    parts |= {number: supply.parts[number] for number in fitted}
    return [parts[number] for number in sorted(parts)]


def _stacks(
    request: Request, engine: Engine, supply: Supply, parts: Sequence[Part], *, apart: bool = False
) -> tuple[tuple[Stack, ...], ...]:
    seats = range(len(engine.cylinders))
    stacks = tuple(tuple(candidate_stacks(engine, seat, parts, supply.services, apart=apart)) for seat in seats)
    if Chance.name in request.prefer:
        return tuple(map(with_chances, engine.cylinders, stacks, repeat(supply.parts)))
    return stacks
