"""A range of a size that one integer programme settles."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence
from concurrent.futures import Executor
from typing import Protocol

from msgspec import Struct

from stackopt.choose.patience import Patience
from stackopt.side_by_side import each_by
from stackopt.stocking.range.keepable import Keepable
from stackopt.stocking.range.program import (
    Range,
    build_range_program,
    keep_within,
    least_money,
    most_built,
    read_range,
)
from stackopt.stocking.range.scenarios import Scenario

# The engines that no range of a budget passes in scenarios, of parts that can be kept.
Bound = Callable[[Sequence[Scenario], Mapping[str, Keepable], float, Patience], float]


class RangeFinder(Protocol):
    """A way to find ranges for budgets."""

    @property
    def bound(self) -> Bound:
        """The function that bounds what ranges build in scenarios."""

    def find(self, budget_cents: float, patience: Patience) -> Range:
        """Find what to keep for a budget, with its bound."""

    def curve(self, budgets_cents: Sequence[float], patience: Patience) -> list[Range]:
        """Find what to keep for each of several budgets."""


class RangeToFind(Struct, frozen=True):
    """A range to be found within a budget; `seconds` is the time for it where others find it."""

    scenarios: Sequence[Scenario]
    keepable: Mapping[str, Keepable]
    budget_cents: float
    seconds: float = math.inf

    def found(self, patience: Patience) -> Range:
        """Build as many engines as can be; then tie up as little money as does it."""
        program = build_range_program(self.scenarios, self.keepable)
        keep_within(program, self.budget_cents)
        outcome = most_built(program, patience)
        if not outcome.found:
            return Range({}, 0, 0.0, -outcome.bound)
        kept = read_range(program, -outcome.bound)
        if patience.over or not least_money(program, kept.built, patience).found:
            return kept
        return read_range(program, -outcome.bound)


class WholeFinder:
    """Ranges for budgets, each out of one programme over all families; `executor` solves those of several budgets."""

    def __init__(
        self, scenarios: Sequence[Scenario], keepable: Mapping[str, Keepable], executor: Executor | None = None
    ) -> None:
        self.scenarios = scenarios
        self.keepable = keepable
        self.executor = executor

    @property
    def bound(self) -> Bound:
        """The function that bounds what ranges build in scenarios."""
        return whole_bound

    def find(self, budget_cents: float, patience: Patience) -> Range:
        """Find what to keep for a budget, with its bound."""
        return RangeToFind(self.scenarios, self.keepable, budget_cents).found(patience)

    def curve(self, budgets_cents: Sequence[float], patience: Patience) -> list[Range]:
        """Find what to keep for each of several budgets; time is shared alike."""
        came: list[Range | None] = [None for _ in budgets_cents]
        if self.executor is not None:
            seconds = patience.seconds_left / max(1, len(budgets_cents))
            asked = [RangeToFind(self.scenarios, self.keepable, cents, seconds) for cents in budgets_cents]
            came = each_by(self.executor, found_away, asked, patience.given_up)
        found = []
        for index, (budget_cents, known) in enumerate(zip(budgets_cents, came, strict=True)):
            found.append(known or self.find(budget_cents, patience.part_of(1 / (len(budgets_cents) - index))))
        return found


def found_away(asked: RangeToFind) -> Range:
    """Find a range in so many seconds; this is what others call."""
    return asked.found(Patience.of_seconds(asked.seconds))


def whole_bound(
    scenarios: Sequence[Scenario], keepable: Mapping[str, Keepable], budget_cents: float, patience: Patience
) -> float:
    """Return the engines that no range of this budget passes in scenarios."""
    program = build_range_program(scenarios, keepable)
    keep_within(program, budget_cents)
    return -most_built(program, patience).bound
