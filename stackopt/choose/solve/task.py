"""What is to be solved, in one record."""

from __future__ import annotations

from collections.abc import Sequence
from concurrent.futures import Executor

from msgspec import Struct, field

from stackopt.choose.model.objective import Objective
from stackopt.choose.model.program import Job
from stackopt.choose.model.purchase import NOTHING_BESIDE, BesideTheShelf
from stackopt.choose.patience import Patience
from stackopt.parts.part_records import Supply
from stackopt.parts.sources import Source


class Task(Struct, frozen=True):
    """What is to be solved: jobs, where their parts come from, what counts in which order, and how long it may take.

    `beside` is what may be bought for its sum alone, and what is under way; `executor` solves groups, where it is not
    this process that does.
    """

    jobs: Sequence[Job]
    supply: Supply
    sources: Sequence[Source]
    objectives: Sequence[Objective]
    patience: Patience = field(default_factory=Patience)
    beside: BesideTheShelf = NOTHING_BESIDE
    executor: Executor | None = None
