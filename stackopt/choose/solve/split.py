"""Solve jobs for their objectives, split into groups wherever that gives the same answer."""

from __future__ import annotations

import time
from collections.abc import Sequence

from stackopt.choose.model.objective import Objective
from stackopt.choose.model.outcome import join_choices, read_choice
from stackopt.choose.model.program import Job
from stackopt.choose.model.purchase import group_orders
from stackopt.choose.records import Choice
from stackopt.choose.solve.deals import deals_with
from stackopt.choose.solve.groups import Group, split_jobs
from stackopt.choose.solve.open_suppliers import Search, search_open_suppliers
from stackopt.choose.solve.whole import Task
from stackopt.parts.records import Supplier, Supply
from stackopt.parts.sources import Source


def solve_split(task: Task) -> Choice:
    """Solve group by group; the answer equals that of the one model on every objective."""
    supply, objectives = task.supply, task.objectives
    parted = split_jobs(task.jobs, task.sources, supply)
    settled = _suppliers_of_several(parted, supply, objectives)
    groups = [
        Group(tuple(own), tuple(lines), frozenset(settled & _sellers(lines)), supply, objectives, task.patience)
        for own, lines in parted
    ]
    search = Search(groups, objectives, {name: deals_with(supply.supplier(name)) for name in settled})
    started = time.monotonic()
    found = search_open_suppliers(search)
    parts = [part for progress in found.solved for part in progress.parts]
    choices = [read_choice(part.program, part.solution) for part in parts]
    orders = group_orders([line for choice in choices for order in choice.orders for line in order.lines], supply)
    passes = search.passes(orders, time.monotonic() - started)
    return join_choices(choices, supply, [job.engine.name for job in task.jobs], passes)


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
