"""Solve jobs for their objectives as one model."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from msgspec import Struct, field

from stackopt.choose.model.fillers import Fillers
from stackopt.choose.model.objective import Objective
from stackopt.choose.model.objectives import asked_by
from stackopt.choose.model.outcome import read_choice
from stackopt.choose.model.passes import first_solution
from stackopt.choose.model.program import Job, build_program
from stackopt.choose.model.purchase import NO_FILLERS
from stackopt.choose.patience import Patience
from stackopt.choose.records import Choice
from stackopt.choose.solve.groups import Progress, from_the_shelf
from stackopt.choose.solve.nearest import from_the_nearest
from stackopt.parts.records import Supply
from stackopt.parts.sources import Source


class Task(Struct, frozen=True):
    """What is to be solved: jobs, where their parts come from, what counts in which order, and how long it may take.

    `fillers` are by supplier what may be bought there for its sum alone.
    """

    jobs: Sequence[Job]
    supply: Supply
    sources: Sequence[Source]
    objectives: Sequence[Objective]
    patience: Patience = field(default_factory=Patience)
    fillers: Mapping[str, Fillers] = NO_FILLERS


def solve_whole(task: Task) -> Choice:
    """Solve everything as one model; first without buying, which is enough where that finishes every engine."""
    jobs, supply, sources, objectives = task.jobs, task.supply, task.sources, task.objectives
    progress = None
    if len(jobs) == 1:
        progress = from_the_nearest(jobs[0], supply, sources, objectives, task.patience)
    if progress is None:
        progress = from_the_shelf(jobs, supply, sources, objectives, task.patience)
    if progress is None:
        program = build_program(jobs, supply, sources, asked_by(objectives, fillers=task.fillers))
        progress = Progress(program, first_solution(program))
    progress.solve(objectives, task.patience)
    return read_choice(progress.program, progress.solution)
