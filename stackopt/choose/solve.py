"""Solve jobs for their objectives, split into groups wherever that gives the same answer."""

from __future__ import annotations

import time
from collections.abc import Collection, Sequence
from dataclasses import dataclass, field

from stackopt.choose.groups import Group, Progress, from_the_shelf, split_jobs
from stackopt.choose.objectives import Objective, asked_by
from stackopt.choose.open_suppliers import Search, search_open_suppliers
from stackopt.choose.outcome import join_choices, read_choice
from stackopt.choose.passes import first_solution
from stackopt.choose.patience import Patience
from stackopt.choose.program import Job, build_program
from stackopt.choose.records import Choice, Order
from stackopt.parts.records import Supplier, Supply
from stackopt.parts.sources import Source


@dataclass(frozen=True, slots=True)
class Task:
    """What is to be solved: jobs, where their parts come from, what counts in which order, and how long it may take."""

    jobs: Sequence[Job]
    supply: Supply
    sources: Sequence[Source]
    objectives: Sequence[Objective]
    patience: Patience = field(default_factory=Patience)


def solve_whole(task: Task) -> Choice:
    """Solve everything as one model; first without buying, which is enough where that finishes every engine."""
    jobs, supply, sources, objectives = task.jobs, task.supply, task.sources, task.objectives
    progress = from_the_shelf(jobs, supply, sources, objectives, task.patience)
    if progress is None:
        program = build_program(jobs, supply, sources, asked_by(objectives))
        progress = Progress(program, first_solution(program))
    progress.solve(objectives, task.patience)
    return read_choice(progress.program, progress.solution)


def solve_split(task: Task) -> Choice:
    """Solve group by group; the answer equals that of the one model on every objective.

    A supplier's thresholds (minimum order, free freight) are at first taken as met. Where the orders that come out do
    not meet one, its supplier ties together the groups that it sells to, and all is solved again. When patience ends
    before that, the one model, in which every threshold holds, gives what it has.
    """
    tied: set[str] = set()
    while True:
        choice, settled = _solve_with(task, tied)
        broken = {
            order.supplier for order in choice.orders if order.supplier in settled and _misses(order, task.supply)
        }
        if not broken:
            return choice
        if task.patience.over:
            return solve_whole(task)
        tied |= broken


def _solve_with(task: Task, tied: Collection[str]) -> tuple[Choice, set[str]]:
    """Return the choice with these suppliers tying their groups, and the suppliers settled between groups."""
    supply, objectives = task.supply, task.objectives
    parted = split_jobs(task.jobs, task.sources, supply, tied)
    settled = _suppliers_of_several(parted, supply, objectives) - set(tied)
    groups = [
        Group(tuple(own), tuple(lines), frozenset(settled & _sellers(lines)), supply, objectives, task.patience)
        for own, lines in parted
    ]
    search = Search(groups, objectives, {name: _least_freight_cents(supply.supplier(name)) for name in settled})
    started = time.monotonic()
    search_open_suppliers(search)
    solved = [group.solved(search.best, len(objectives) - 1) for group in groups]
    choices = [read_choice(progress.program, progress.solution) for progress in solved]
    passes = search.passes(time.monotonic() - started)
    return join_choices(choices, supply, [job.engine.name for job in task.jobs], passes), settled


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


def _least_freight_cents(terms: Supplier) -> int:
    """Return what an order to a supplier costs at the least, cents."""
    return 0 if terms.free_freight_over_cents is not None else terms.freight_cents


def _misses(order: Order, supply: Supply) -> bool:
    """Tell whether an order does not meet what its supplier's terms were taken to be."""
    terms = supply.supplier(order.supplier)
    lines_cents = sum(line.line_cents for line in order.lines)
    return lines_cents < terms.minimum_order_cents or order.freight_cents != _least_freight_cents(terms)
