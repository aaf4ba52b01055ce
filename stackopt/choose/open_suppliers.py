"""Which suppliers to order from: a search over open sets, each judged by what the groups then reach.

A set with some suppliers undecided is bounded from below by the groups' answers with all of these open and their
freight left out: that relaxes every group, so the bound holds for the whole vector of objectives, one after another.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from stackopt.choose.groups import Group
from stackopt.choose.objectives import Objective
from stackopt.choose.records import PassResult

Names = frozenset[str]


@dataclass(slots=True)
class Search:
    """The best open set found so far.

    `freight_cents` names the suppliers to be settled and what an order to each costs.
    """

    groups: Sequence[Group]
    objectives: Sequence[Objective]
    freight_cents: Mapping[str, int]
    best: Names = frozenset()
    cut_short: bool = False

    def component(self, position: int, opened: Names, paid: Names) -> float:
        """Return one objective over all groups with these suppliers open, freight paid for some of them."""
        total = sum(group.value(opened, position) for group in self.groups)
        name = self.objectives[position].name
        if name == "spend":
            total += sum(self.freight_cents[supplier] for supplier in paid)
        return total + len(paid) if name == "orders" else total

    def beats(self, opened: Names, paid: Names) -> bool:
        """Tell whether what these open suppliers reach comes before the best found, one objective after another.

        Later objectives are solved for only where the earlier ones are equal.
        """
        for position, objective in enumerate(self.objectives):
            difference = self.component(position, opened, paid) - self.component(position, self.best, self.best)
            if abs(difference) > objective.step * (0.5 if objective.step == 1 else len(self.groups)):
                return difference < 0
        return False

    def passes(self, seconds: float) -> list[PassResult]:
        """Return what the best open set reaches, and what is proven of it; the seconds spread evenly.

        Where the search was cut short, all suppliers open and unpaid bound the objectives up to the first in which they
        reach less; of those after it nothing is known but that they are not below 0.
        """
        everyone = frozenset(self.freight_cents)
        results: list[PassResult] = []
        bounded = True
        for position, objective in enumerate(self.objectives):
            reached = self.component(position, self.best, self.best)
            bound = reached
            if self.cut_short:
                solved = (group.solved(everyone, position).solution.passes[position] for group in self.groups)
                bound = min(reached, sum(result.bound for result in solved)) if bounded else 0
                bounded = bounded and bound >= reached - objective.step / 2
            results.append(PassResult(objective.name, reached, bound, seconds / len(self.objectives)))
        return results

    @property
    def over(self) -> bool:
        """No time is left to search."""
        return any(group.patience.over for group in self.groups)

    def deciding(self) -> int:
        """Return the position of the last objective that suppliers' terms enter."""
        return max(n for n, objective in enumerate(self.objectives) if objective.name in ("spend", "orders"))

    def suppliers(self, opened: Names, position: int) -> Names:
        """Return the suppliers that the groups order from with these open, after so many objectives."""
        return self._settled(frozenset().union(*(group.solved(opened, position).suppliers() for group in self.groups)))

    def _settled(self, names: Names) -> Names:
        return names & self.freight_cents.keys()


def search_open_suppliers(search: Search) -> None:
    """Find the open set that comes first; the search holds it."""
    everyone = frozenset(search.freight_cents)
    search.best = search.suppliers(everyone, search.deciding())
    _drop_what_can_be_spared(search)
    _branch(search, frozenset(), everyone)
    search.cut_short = search.over


def _drop_what_can_be_spared(search: Search) -> None:
    for supplier in sorted(search.best, key=lambda name: (-search.freight_cents[name], name)):
        fewer = search.best - {supplier}
        if not search.over and search.beats(fewer, fewer):
            search.best = fewer


def _branch(search: Search, opened: Names, undecided: Names) -> None:
    """Look through the sets that hold `opened` and some of `undecided`, unless none can come before the best."""
    if search.over or not search.beats(opened | undecided, opened):
        return
    ordered = search.suppliers(opened | undecided, search.deciding()) & undecided
    if not ordered:
        ordered = search.suppliers(opened | undecided, len(search.objectives) - 1) & undecided
    if not ordered:
        search.best = opened
        return
    supplier = max(sorted(ordered), key=lambda name: search.freight_cents[name])
    _branch(search, opened, undecided - {supplier})
    _branch(search, opened | {supplier}, undecided - {supplier})
