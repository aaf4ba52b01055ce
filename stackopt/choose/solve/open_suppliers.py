"""Which suppliers to order from, and on which terms: a search, each choice judged by what the groups then reach.

A choice with some suppliers undecided is bounded from below by the groups' answers with all of these open, their
freight and thresholds left out. A threshold that the groups' lines do not meet of themselves bounds the money too: a
share of what it asks for is spent there in any case, and the lines there are cheaper by that share. Where this leaves
a choice open, what the lines must come to is shared out between groups (ties.py), or these are solved as one.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from concurrent.futures import Executor

from msgspec import Struct, field
from msgspec.structs import replace

from stackopt.choose.choice_records import Order, PassResult
from stackopt.choose.model.objective import Objective
from stackopt.choose.solve.away import discount_away, solve_away
from stackopt.choose.solve.deals import NO_DEALS, Deal, Deals, Names, join_groups
from stackopt.choose.solve.groups import SHARES_IN_QUARTERS, Group
from stackopt.choose.solve.progress import Reached
from stackopt.choose.solve.ties import FEWEST_JOBS, Tie, Together, can_be_shared_out, has_special_fillers
from stackopt.side_by_side import each

# Groups solved before it is looked again whether that is enough; the same on every machine, so that answers are, too.
AT_A_TIME = 2


class SolvedDeals(Struct, frozen=True):
    """Groups solved for every objective, for some deals that they keep; `tied` are those kept inside a group."""

    solved: Sequence[Reached | Together]
    deals: Deals
    tied: Names


class DealSearch(Struct):
    """The best deals found so far; `open_deals` names the suppliers to be settled and how each can be ordered from.

    `executor` solves groups, where it is not this process that does.
    """

    groups: Sequence[Group]
    objectives: Sequence[Objective]
    open_deals: Mapping[str, tuple[Deal, ...]]
    best: SolvedDeals | None = None
    cut_short: bool = False
    joined: dict[frozenset[tuple[str, Deal]], Sequence[Group | Tie]] = field(default_factory=dict)
    executor: Executor | None = None

    @property
    def over(self) -> bool:
        """No time is left to search."""
        return any(group.patience.over for group in self.groups)

    def deciding(self) -> int:
        """Return the position of the last objective that suppliers' terms enter."""
        return max(n for n, objective in enumerate(self.objectives) if objective.name in ("spend", "orders"))

    def with_deals(self, position: int, inside: float, deals: Deals, tied: Names) -> float:
        """Add to an objective summed over the groups what these deals add."""
        name = self.objectives[position].name
        if name == "spend":
            return inside + sum(deal.freight_cents for deal in deals.values())
        return inside + len(deals.keys() - tied) if name == "orders" else inside

    def best_value(self, position: int) -> float:
        """Return what the best reaches in one objective."""
        assert self.best is not None
        inside = sum(progress.solution.passes[position].value for progress in self.best.solved)
        return self.with_deals(position, inside, self.best.deals, self.best.tied)

    def slack(self, position: int) -> float:
        """Return by how much two values of an objective may differ and still be level."""
        step = self.objectives[position].step
        return step / 2 if step == 1 else step * len(self.groups)

    def passes(self, orders: Sequence[Order], seconds: float) -> list[PassResult]:
        """Return what the best reaches, ordered as it is, and what is proven of it; the seconds spread evenly.

        Where the search was cut short, all suppliers open and unpaid bound the objectives up to the first in which they
        reach less; of those after it nothing is known but that they are not below 0.
        """
        assert self.best is not None
        everyone = frozenset(self.open_deals)
        paid = {each.supplier: Deal(each.freight_cents, 0) for each in orders if each.supplier in everyone}
        results: list[PassResult] = []
        bounded = True
        for position, objective in enumerate(self.objectives):
            inside = sum(progress.solution.passes[position].value for progress in self.best.solved)
            reached = self.with_deals(position, inside, paid, self.best.tied)
            bound = reached
            if self.cut_short:
                proven = sum(group.proven_bound(everyone, position) for group in self.groups)
                bound = min(reached, proven) if bounded else 0
                bounded = bounded and bound >= reached - objective.step / 2
            results.append(PassResult(objective.name, reached, bound, seconds / len(self.objectives)))
        return results


class Branch(Struct, frozen=True):
    """All choices that keep some deals and leave some suppliers undecided; deals in `tied` are held inside a group."""

    search: DealSearch
    deals: Deals
    undecided: Names
    tied: Names = frozenset()

    @property
    def opened(self) -> Names:
        """Every supplier that may be ordered from here."""
        return self.undecided.union(self.deals)

    def groups(self) -> Sequence[Group | Tie]:
        """Return the groups, those that a tied supplier sells to joined to one that keeps its deal."""
        key = frozenset((name, self.deals[name]) for name in self.tied)
        if key not in self.search.joined:
            self.search.joined[key] = self._tie({name: self.deals[name] for name in self.tied})
        return self.search.joined[key]

    def _tie(self, tied: Deals) -> Sequence[Group | Tie]:
        """Return the groups, those that tied suppliers sell to as a tie where it can be shared out, else as one."""
        groups = self.search.groups
        joined = join_groups(groups, tied)
        if len(tied) != 1 or not can_be_shared_out(self.search.objectives):
            return joined
        *others, one = joined
        ((name, deal),) = tied.items()
        if len(one.jobs) < FEWEST_JOBS or has_special_fillers(one, name):
            return joined
        members = [group for group in groups if name in group.settled]
        return [*others, Tie(members, one, name, deal.least_cents, executor=self.search.executor)]

    def solved(self, position: int) -> list[Reached | Together]:
        """Return the groups solved up to and with the objective at a position."""
        groups, search = self.groups(), self.search
        solve_away(search.executor, groups, self.opened, position, to_the_end=not search.open_deals)
        return each(lambda group: group.solved(self.opened, position), groups)

    def ordered(self, position: int) -> dict[str, int]:
        """Return what the lines at each settled supplier come to then, cents, where there are any."""
        total_cents: dict[str, int] = {}
        for progress in self.solved(position):
            for name, cents in progress.lines_cents().items():
                if name in self.search.open_deals:
                    total_cents[name] = total_cents.get(name, 0) + cents
        return total_cents

    def short(self, position: int) -> Names:
        """Return the suppliers whose lines come to less than their deal asks for, and that are not tied yet."""
        return frozenset(
            name
            for name, cents in self.ordered(position).items()
            if name in self.deals and name not in self.tied and cents < self.deals[name].least_cents
        )

    def bound(self, position: int) -> float:
        """Return what one objective is at least."""
        inside = sum(progress.solution.passes[position].value for progress in self.solved(position))
        return self.search.with_deals(position, inside, self.deals, self.tied)

    def may_beat_the_best(self) -> bool:
        """Tell whether anything here may be better than the incumbent, in lexicographic order of the objectives."""
        search = self.search
        if search.best is None:
            return True
        spend = [objective.name for objective in search.objectives].index("spend")
        so_far = self.against_the_best(spend)
        if so_far > 0:
            return False
        if self.against_the_best(spend - 1) == 0 and self.spends_too_much(spend):
            return False
        return so_far < 0 or self.against_the_best(len(search.objectives) - 1) < 0

    def against_the_best(self, position: int) -> int:
        """Tell whether the lower bound here is better than the incumbent (-1), equal to it (0), or worse (1).

        Both are compared in lexicographic order, up to and with the objective at a position. Only as many groups are
        solved as it takes to tell; for the others, what they reach with more suppliers open is a lower bound.
        """
        groups = self.groups()
        least = [group.least(self.opened, position) for group in groups]
        unknown = [n for n, group in enumerate(groups) if group.known(self.opened, position) is None]
        while True:
            verdict = self._verdict([sum(values) for values in zip(*least, strict=True)])
            if verdict > 0 or not unknown:
                return verdict
            now, unknown = unknown[:AT_A_TIME], unknown[AT_A_TIME:]
            solve_away(self.search.executor, [groups[n] for n in now], self.opened, position, to_the_end=False)
            for n, progress in zip(now, each(lambda n: groups[n].nearer(self.opened, position), now), strict=True):
                least[n] = groups[n].least(self.opened, position)
                unknown += [] if progress else [n]

    def _verdict(self, inside: Sequence[float]) -> int:
        for position, value in enumerate(inside):
            best = self.search.best_value(position)
            here = self.search.with_deals(position, value, self.deals, self.tied)
            slack = self.search.slack(position)
            if abs(here - best) > slack:
                return 1 if here > best else -1
        return 0

    def spends_too_much(self, position: int) -> bool:
        """Tell whether every choice here spends more than the incumbent, since deals ask for more than is ordered.

        A share of what a deal asks for is counted as spent, and the lines there are cheaper by that share: a lower
        bound. The share that bounds best is tried out, one supplier after another.
        """
        ordered = self.ordered(position)
        missing = {name: deal.least_cents - ordered.get(name, 0) for name, deal in self.deals.items()}
        short = sorted(name for name, cents in missing.items() if cents > 0 and name not in self.tied)
        without, enough = self.bound(position), self.search.best_value(position) + self.search.slack(position)
        best = 0.0
        quarters: dict[str, int] = {}
        for name in short:
            for share in SHARES_IN_QUARTERS:
                tried = {**quarters, name: share}
                # What is fitted without the deals is there with a discount, too, at what it costs then.
                at_most = without + sum(missing[other] * tried.get(other, 4 * (other > name)) for other in short) / 4
                if at_most <= enough:
                    continue
                bound = self._bound_with_shares(position, tried)
                if bound > enough:
                    return True
                if bound > best:
                    best, quarters = bound, tried
        return False

    def _bound_with_shares(self, position: int, quarters: Mapping[str, int]) -> float:
        groups = self.groups()
        discount_away(self.search.executor, groups, self.opened, quarters, position)
        inside = sum(each(lambda group: group.at_a_discount(self.opened, quarters, position), groups))
        spent = sum(share * self.deals[name].least_cents / 4 for name, share in quarters.items())
        return self.search.with_deals(position, inside, self.deals, self.tied) + spent

    def look_through(self) -> None:
        """Make the best choice here the incumbent, unless none is better than the incumbent there is."""
        search = self.search
        if search.best is not None and (search.over or not self.may_beat_the_best()):
            return
        last = len(search.objectives) - 1
        free = self.ordered(search.deciding()).keys() & self.undecided or self.ordered(last).keys() & self.undecided
        if free:
            supplier = max(sorted(free), key=lambda name: search.open_deals[name][0].freight_cents)
            self._decide(supplier)
        elif short := self.short(last):
            replace(self, tied=self.tied | {min(sorted(short), key=self._jobs_sold_to)}).look_through()
        else:
            ordered = self.ordered(last)
            deals = {name: deal for name, deal in self.deals.items() if name in ordered}
            search.best = SolvedDeals(self.solved(last), deals, self.tied.intersection(deals))

    def _jobs_sold_to(self, supplier: str) -> int:
        return sum(len(group.jobs) for group in self.groups() if supplier in group.settled)

    def _decide(self, supplier: str) -> None:
        undecided = self.undecided - {supplier}
        for deal in self.search.open_deals[supplier]:
            replace(self, deals={**self.deals, supplier: deal}, undecided=undecided).look_through()
        replace(self, undecided=undecided).look_through()


def search_open_suppliers(search: DealSearch) -> None:
    """Find the deals that come first, and leave them with the search."""
    everyone = frozenset(search.open_deals)
    Branch(search, _first_deals(search, everyone), frozenset()).look_through()
    Branch(search, NO_DEALS, everyone).look_through()
    search.cut_short = search.over


def _first_deals(search: DealSearch, everyone: Names) -> Deals:
    """Return deals to begin with: those with whom is ordered when all are open, less whom can be spared."""
    deciding = search.deciding()
    opened = everyone
    while True:
        ordered = Branch(search, NO_DEALS, opened).ordered(deciding)
        deals = _fitting_deals(search, ordered)
        if len(deals) == len(ordered):
            break
        opened = frozenset(deals)
    for supplier in sorted(deals, key=lambda name: (-deals[name].freight_cents, name)):
        if search.over or supplier not in deals:
            continue
        ordered = Branch(search, NO_DEALS, frozenset(deals) - {supplier}).ordered(deciding)
        fewer = _fitting_deals(search, ordered)
        if len(fewer) == len(ordered) and _reached(search, fewer) < _reached(search, deals):
            deals = fewer
    return deals


def _fitting_deals(search: DealSearch, ordered: Mapping[str, int]) -> dict[str, Deal]:
    """Return the deals with the least freight that these lines meet; without the suppliers where they meet none."""
    return {
        name: min(met, key=lambda deal: deal.freight_cents)
        for name, cents in ordered.items()
        if (met := [deal for deal in search.open_deals[name] if deal.least_cents <= cents])
    }


def _reached(search: DealSearch, deals: Deals) -> list[float]:
    branch = Branch(search, deals, frozenset())
    return [branch.bound(position) for position in range(search.deciding() + 1)]
