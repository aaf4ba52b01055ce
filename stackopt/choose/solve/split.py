"""Solve jobs for their objectives, split into groups wherever that gives the same answer."""

from __future__ import annotations

import time
from collections.abc import Callable, Sequence

from stackopt.choose.choice_records import Choice
from stackopt.choose.model.objective import Objective
from stackopt.choose.model.program import Job
from stackopt.choose.patience import Patience
from stackopt.choose.solve.deals import deals_with
from stackopt.choose.solve.groups import Group
from stackopt.choose.solve.open_suppliers import DealSearch, search_open_suppliers
from stackopt.choose.solve.parting import split_jobs
from stackopt.choose.solve.race import found_choice, race
from stackopt.choose.solve.task import Task
from stackopt.parts.part_records import Supplier, Supply
from stackopt.parts.sources import Source


def solve_split(task: Task) -> Choice:
    """Solve group by group; the answer equals that of the one model on every objective."""
    new_search = new_searches(task)
    search, started = new_search(task.patience), time.monotonic()
    if search.open_deals:
        return race(task, new_search)
    search_open_suppliers(search)
    return found_choice(task, search, time.monotonic() - started)


def new_searches(task: Task) -> Callable[[Patience], DealSearch]:
    """Return what makes searches for a task, each with groups of its own, so that two can go on side by side."""
    supply, objectives = task.supply, task.objectives
    parted = split_jobs(task.jobs, task.sources, supply)
    settled = _suppliers_of_several(parted, supply, objectives)
    deals = {name: deals_with(supply.supplier(name)) for name in settled}

    def new_search(patience: Patience) -> DealSearch:
        groups = [
            Group(
                tuple(own),
                tuple(lines),
                frozenset(settled & _sellers(lines)),
                supply,
                objectives,
                patience,
                task.beside,
            )
            for own, lines in parted
        ]
        return DealSearch(groups, objectives, deals, executor=task.executor)

    return new_search


def _sellers(sources: Sequence[Source]) -> set[str]:
    return {source.offer.supplier for source in sources}


def _suppliers_of_several(
    parted: Sequence[tuple[list[Job], list[Source]]], supply: Supply, objectives: Sequence[Objective]
) -> set[str]:
    """Return the suppliers that sell to several groups and whose terms couple these."""
    counted: dict[str, int] = {}
    for _, lines in parted:
        for name in _sellers(lines):
            counted[name] = counted.get(name, 0) + 1
    orders_count = any(objective.name == "orders" for objective in objectives)
    return {
        name
        for name, groups in counted.items()
        if groups > 1 and (orders_count or supply.supplier(name) != Supplier(name))
    }
