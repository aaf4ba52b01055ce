"""What a group of engines has reached so far for one set of open suppliers, one objective after another."""

from __future__ import annotations

from collections.abc import Sequence

from msgspec import Struct
from msgspec.structs import replace

from stackopt.choose.choice_records import Choice, OrderLine
from stackopt.choose.model.objective import Objective
from stackopt.choose.model.outcome import read_choice
from stackopt.choose.model.passes import Solution, solve_pass, whole_values
from stackopt.choose.model.program import Program
from stackopt.choose.patience import Patience


class Reached(Struct):
    """What one group has reached for one set of open suppliers: it is solved for the first few objectives."""

    @property
    def solution(self) -> Solution:
        """What each pass reached."""
        raise NotImplementedError

    @property
    def filler_lines(self) -> tuple[OrderLine, ...]:
        """Lines that are bought beside those of the model: none."""
        return ()

    @property
    def parts(self) -> tuple[Reached, ...]:
        """The models that it consists of: this one."""
        return (self,)

    def values(self, count: int) -> list[float]:
        """Return what the first so many objectives reach; fewer where it is not solved so far."""
        return [each.value for each in self.solution.passes[:count]]

    def suppliers(self) -> frozenset[str]:
        """Return the suppliers ordered from in the solution so far."""
        return frozenset(self.lines_cents())

    def solve(self, objectives: Sequence[Objective], patience: Patience) -> None:
        """Solve on, up to and with the last of these objectives."""
        raise NotImplementedError

    def lines_cents(self) -> dict[str, int]:
        """Return what the lines at each supplier ordered from come to in the solution so far, cents."""
        raise NotImplementedError

    def choice(self) -> Choice:
        """Return what the solution means."""
        raise NotImplementedError


class Progress(Reached):
    """One group's model, and what it reached."""

    program: Program
    solution: Solution

    def solve(self, objectives: Sequence[Objective], patience: Patience) -> None:
        """Solve on, up to and with the last of these objectives."""
        for objective in objectives[len(self.solution.passes) :]:
            self.solution = solve_pass(self.program, objective, self.solution, patience)

    def take_values(self) -> None:
        """Take over the values that the solver has left in the variables."""
        self.solution = replace(self.solution, values=whole_values(self.program))

    def lines_cents(self) -> dict[str, int]:
        """Return what the lines at each supplier ordered from come to in the solution so far, cents."""
        total: dict[str, int] = {}
        for column in self.program.purchases.tiers:
            packs = self.solution[column.packs]
            if packs:
                name = column.source.offer.supplier
                total[name] = total.get(name, 0) + packs * column.tier.price_cents
        return total

    def choice(self) -> Choice:
        """Return what the solution means."""
        return read_choice(self.program, self.solution)
