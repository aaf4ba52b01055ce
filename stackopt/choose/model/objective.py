"""What every objective has: its name, its step, its kind, its words, and its terms in a program."""

from __future__ import annotations

from enum import Enum
from typing import Protocol

from msgspec import Struct

from stackopt.choose.model.program import Program
from stackopt.choose.model.purchase import Terms


class ObjectiveKind(Enum):
    """What an objective counts, and so how its values are written."""

    COUNT = "count"
    CENTS = "cents"
    DAYS = "days"
    HALF_WIDTHS = "half-widths of the windows"
    CHANCE = "chance"
    MILLIMETRES = "mm"


class Words(Struct, frozen=True):
    """How an objective is spoken of: its measure, what a proof says, what a difference (``{}``) means."""

    measure: str
    proven: str
    more: str
    less: str


class Objective(Protocol):
    """Something to make least; never below 0."""

    @property
    def name(self) -> str:
        """What it is called, in `--prefer` too."""

    @property
    def step(self) -> float:
        """The least difference that counts."""

    @property
    def kind(self) -> ObjectiveKind:
        """What it counts."""

    @property
    def words(self) -> Words:
        """How it is spoken of."""

    def terms(self, program: Program) -> Terms:
        """Return the objective as terms over the program's variables."""
