"""A range of a size that one integer programme settles."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Protocol

from stackopt.choose.patience import Patience
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


class RangeFinder(Protocol):
    """A way to find ranges for budgets."""

    def find(self, budget_cents: float, patience: Patience) -> Range:
        """Find what to keep for a budget, with its bound."""

    def curve(self, budgets_cents: Sequence[float], patience: Patience) -> list[Range]:
        """Find what to keep for each of several budgets."""

    def bound(self, scenarios: Sequence[Scenario], budget_cents: float, patience: Patience) -> float:
        """Return the engines that no range of this budget passes in other scenarios."""


class WholeFinder:
    """Ranges for budgets, each out of one programme over all families."""

    def __init__(self, scenarios: Sequence[Scenario], keepable: Mapping[str, Keepable]) -> None:
        self.scenarios = scenarios
        self.keepable = keepable

    def find(self, budget_cents: float, patience: Patience) -> Range:
        """Build as many engines as can be; then tie up as little money as does it."""
        program = build_range_program(self.scenarios, self.keepable)
        keep_within(program, budget_cents)
        outcome = most_built(program, patience)
        if not outcome.found:
            return Range({}, 0, 0.0, -outcome.bound)
        kept = read_range(program, -outcome.bound)
        if patience.over or not least_money(program, kept.built, patience).found:
            return kept
        return read_range(program, -outcome.bound)

    def curve(self, budgets_cents: Sequence[float], patience: Patience) -> list[Range]:
        """Find what to keep for each of several budgets; time is shared alike."""
        found = []
        for index, budget_cents in enumerate(budgets_cents):
            share = patience.seconds_left / (len(budgets_cents) - index)
            found.append(self.find(budget_cents, Patience.of_seconds(share)))
        return found

    def bound(self, scenarios: Sequence[Scenario], budget_cents: float, patience: Patience) -> float:
        """Return the engines that no range of this budget passes in other scenarios."""
        program = build_range_program(scenarios, self.keepable)
        keep_within(program, budget_cents)
        return -most_built(program, patience).bound
