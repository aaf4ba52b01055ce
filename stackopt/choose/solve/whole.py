"""Solve jobs for their objectives as one model."""

from __future__ import annotations

from stackopt.choose.choice_records import Choice
from stackopt.choose.model.objectives import asked_by
from stackopt.choose.model.outcome import read_choice
from stackopt.choose.model.passes import first_solution
from stackopt.choose.model.program import build_program
from stackopt.choose.solve.groups import from_the_shelf
from stackopt.choose.solve.nearest import from_the_nearest
from stackopt.choose.solve.progress import Progress
from stackopt.choose.solve.task import Task


def solve_whole(task: Task) -> Choice:
    """Solve everything as one model; first without buying, which is enough where that finishes every engine."""
    progress = from_the_nearest(task) if len(task.jobs) == 1 else None
    if progress is None:
        progress = from_the_shelf(task)
    if progress is None:
        asked = asked_by(task.objectives, beside=task.beside)
        program = build_program(task.jobs, task.supply, task.sources, asked)
        progress = Progress(program, first_solution(program))
    progress.solve(task.objectives, task.patience)
    return read_choice(progress.program, progress.solution)
