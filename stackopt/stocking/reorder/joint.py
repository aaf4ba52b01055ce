"""One order per supplier, decided over all parts due and nearly due in one linear model.

Made least is the money paid now and the shop's own work, less what every piece is worth: so a part that is not due
yet rides along exactly where that saves more later than its keeping costs, and thresholds are filled with what is
soonest used.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence

import pulp
from msgspec import Struct

from stackopt.choose.choice_records import Order, OrderLine, Status
from stackopt.choose.model.purchase import Purchases, Terms, add_purchases, group_orders, label
from stackopt.choose.model.solver import LinearModel, minimise, weighted_sum
from stackopt.choose.patience import Patience
from stackopt.parts.part_records import Supply
from stackopt.parts.sources import Source
from stackopt.stocking.reorder.admitted import Market, admitted_sources, sorted_sources
from stackopt.stocking.reorder.restock_records import Policy
from stackopt.stocking.reorder.wants import Want, worths_cents

# The least difference in cost that counts: a hundredth of a cent, since keeping is not whole cents.
STEP_CENTS = 0.01


class Joint(Struct, frozen=True):
    """The orders, and how far they are proven (cost and its bound, cents).

    `forced` are the parts that had to be bought, `waiting` those that are due but left for another day. `too_slow` are
    lines that were left out since what is there would not last until they come.
    """

    orders: tuple[Order, ...]
    forced: frozenset[str]
    waiting: frozenset[str]
    too_slow: tuple[Source, ...]
    status: Status
    cost_cents: float
    bound_cents: float

    def lines(self, part: str) -> list[tuple[Order, OrderLine]]:
        """Return the lines that buy a part, each with its order."""
        return [(order, line) for order in self.orders for line in order.lines if line.offer.part == part]

    def pieces(self, part: str) -> int:
        """Return how many pieces of a part are bought."""
        return sum(line.packs * line.offer.pack for _, line in self.lines(part))


def joint_orders(
    wants: Mapping[str, Want], market: Market, patience: Patience | None = None, *, slow_too: bool = False
) -> Joint:
    """Decide what is ordered now.

    Parameters
    ----------
    wants
        Of every part, by number.
    market
        What can be ordered, from whom, and at what cost.
    patience
        How long to go on once orders are found; None: until proven.
    slow_too
        Lines that come too late for the shelf may be bought as well: to tell what that would save.
    """
    supply = market.supply
    admitted, too_slow = admitted_sources(wants, market)
    if slow_too:
        admitted, too_slow = sorted_sources([*admitted, *too_slow]), []
    stated = _stated(wants, admitted, market)
    cost = weighted_sum(_summed(stated.terms))
    outcome = minimise(stated.problem, cost, step=STEP_CENTS, patience=patience)
    if not outcome.found:
        # It was stopped before there was any answer; one must be found, and there always is one.
        outcome = minimise(stated.problem, cost, step=STEP_CENTS)
    waiting = frozenset(part for part, column in stated.waits.items() if _whole(column))
    return Joint(
        orders=group_orders(_lines(stated.purchases), supply),
        forced=frozenset(part for part in stated.purchases.by_part if wants[part].least > 0) - waiting,
        waiting=waiting,
        too_slow=tuple(too_slow),
        status=Status.PROVEN if outcome.proven else Status.BEST_FOUND,
        cost_cents=sum(coefficient * variable.varValue for variable, coefficient in stated.terms),
        bound_cents=max(outcome.bound, _floor_cents(stated.terms)),
    )


class JointModel(Struct, frozen=True):
    """The model of a joint order: what may be bought, the parts that may be left for another day, and the cost."""

    problem: LinearModel
    purchases: Purchases
    waits: Mapping[str, pulp.LpVariable]
    terms: Terms


def _stated(wants: Mapping[str, Want], admitted: Sequence[Source], market: Market) -> JointModel:
    """State the model."""
    supply, policy = market.supply, market.policy
    problem = LinearModel("restock")
    parts = {source.offer.part for source in admitted}
    most = {part: max(wants[part].room, len(worths_cents(wants[part], policy))) for part in sorted(parts)}
    purchases = add_purchases(problem, admitted, supply, most)
    waits: dict[str, pulp.LpVariable] = {}
    terms = _cost_terms(purchases, policy)
    for number, part in enumerate(sorted(purchases.by_part)):
        name = label(part, str(number))
        want = wants[part]
        terms += _worth_terms(problem, name, want, purchases, policy)
        if want.due and not want.lacking:
            waits[part] = problem.add_variable(f"waits_{name}", 0, 1, "Integer")
            terms.append((waits[part], waiting_cents(want, supply, policy)))
        _add_need_rows(problem, name, want, purchases, waits.get(part))
    return JointModel(problem, purchases, waits, terms)


def _floor_cents(terms: Terms) -> float:
    """Return below what no cost can be: nothing is paid, and all is saved that can be.

    A search that is stopped at once knows no other bound.
    """
    return float(sum(coefficient * variable.upBound for variable, coefficient in terms if coefficient < 0))


def _cost_terms(purchases: Purchases, policy: Policy) -> Terms:
    orders: Terms = [(each.ordered, policy.order_cents) for each in purchases.suppliers]
    lines: Terms = [(column.chosen, policy.line_cents) for column in purchases.tiers]
    return purchases.spend_terms() + orders + lines


def _worth_terms(problem: pulp.LpProblem, name: str, want: Want, purchases: Purchases, policy: Policy) -> Terms:
    """Lay out the pieces in steps of falling worth, no more of them filled than are bought.

    The solver fills the dearest steps first by itself, so they need not be whole.
    """
    arrivals, most = purchases.arrivals(want.part, math.inf), _most_pieces(want.part, purchases)
    step = math.gcd(*(int(pieces) for _, pieces in arrivals))
    worths = worths_cents(want, policy)[:most]
    filled: Terms = []
    for start in range(0, len(worths), step):
        worth = sum(worths[start : start + step]) / step
        filled.append((problem.add_variable(f"worth_{name}_{start}", 0, step), worth))
    row = weighted_sum([*((column, 1) for column, _ in filled), *((column, -pieces) for column, pieces in arrivals)])
    problem.addConstraint(row <= 0, f"filled_{name}")
    return [(column, -worth) for column, worth in filled]


def _add_need_rows(
    problem: pulp.LpProblem, name: str, want: Want, purchases: Purchases, waits: pulp.LpVariable | None
) -> None:
    """Bring what open engines lack in time; fill a part that is due to its level, or leave it for another day."""
    lacking = 0
    for buy in want.buys:
        lacking += buy.pieces
        row = weighted_sum(purchases.arrivals(want.part, buy.within_days)) >= lacking
        problem.addConstraint(row, f"lacking_{name}_{lacking}")
    if not want.due:
        return
    arrivals = purchases.arrivals(want.part, math.inf)
    if waits is None:
        problem.addConstraint(weighted_sum(arrivals) >= want.least, f"due_{name}")
        return
    problem.addConstraint(weighted_sum([*arrivals, (waits, want.least)]) >= want.least, f"due_{name}")
    most = _most_pieces(want.part, purchases)
    problem.addConstraint(weighted_sum([*arrivals, (waits, most)]) <= most, f"waiting_{name}")


def _most_pieces(part: str, purchases: Purchases) -> int:
    return sum(int(column.upBound * pieces) for column, pieces in purchases.arrivals(part, math.inf))


def waiting_cents(want: Want, supply: Supply, policy: Policy) -> float:
    """Return what leaving a due part for another day counts as: twice what buying it by itself would cost.

    So a minimum order is filled up unless that wastes more than the part is worth the shop.
    """
    assert want.point.lot is not None
    offer = want.point.lot.offer
    packs = max(offer.minimum_packs, math.ceil(want.least / offer.pack))
    work_cents = policy.order_cents + policy.line_cents
    return 2 * (packs * offer.price_cents(packs) + supply.supplier(offer.supplier).freight_cents + work_cents)


def _lines(purchases: Purchases) -> list[OrderLine]:
    return [OrderLine(column.source.offer, _whole(column.packs)) for column in purchases.tiers if _whole(column.packs)]


def _whole(column: pulp.LpVariable) -> int:
    value: float = column.varValue
    return round(value)


def _summed(terms: Terms) -> Terms:
    """Add up the coefficients of each variable: a PuLP expression takes each once."""
    sums: dict[str, tuple[pulp.LpVariable, float]] = {}
    for variable, coefficient in terms:
        _, before = sums.get(variable.name, (variable, 0.0))
        sums[variable.name] = (variable, before + coefficient)
    return list(sums.values())
