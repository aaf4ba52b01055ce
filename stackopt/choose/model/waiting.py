"""How long engines wait for the last of their parts, as linear constraints.

Parts can arrive on a handful of days only. For each engine and each such day one variable says whether the engine still
waits after it; what it uses must then be there by the first day after which it does not.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence

import pulp
from msgspec import Struct

from stackopt.choose.model.purchase import Purchases, Terms, label
from stackopt.choose.model.solver import weighted_sum


class User(Struct, frozen=True):
    """One engine as a user of parts: the days these may take, and what it uses of each, as terms and at the most."""

    engine: str
    days: float
    uses: Mapping[str, Terms]
    most: Mapping[str, int]


class Waiting(Struct, frozen=True):
    """The days on which an engine's parts can arrive, from 0, and for all but the last whether it waits longer."""

    days: tuple[int, ...]
    longer: tuple[pulp.LpVariable, ...]

    def terms(self) -> Terms:
        """Return the days that the engine waits."""
        steps = zip(self.longer, self.days, self.days[1:], strict=False)
        return [(column, following - day) for column, day, following in steps]

    def until(self, day: float) -> pulp.LpVariable | None:
        """Return whether the engine waits to this day or longer; None where it never does."""
        position = max(index for index, own in enumerate(self.days) if own < day)
        return self.longer[position] if position < len(self.longer) else None


def add_waiting(
    problem: pulp.LpProblem, users: Sequence[User], purchases: Purchases, here: Callable[[str], tuple[Terms, int]]
) -> dict[str, Waiting]:
    """State how long each engine waits.

    Parameters
    ----------
    problem
        The model to add to.
    users
        The engines.
    purchases
        What may be bought.
    here
        Gives for a part what is here already: terms, and a number of pieces.
    """
    waits = {user.engine: _waiting(problem, f"{number}", user, purchases) for number, user in enumerate(users)}
    for number, part in enumerate(sorted({part for user in users for part in user.uses})):
        using = [user for user in users if part in user.uses]
        from_shelf, free = here(part)
        days = _arrival_days([part], purchases)
        for day, following in zip(days, [*days[1:], math.inf], strict=True):
            name = label(part, str(number), str(day))
            longer = ((user, waits[user.engine].until(following)) for user in using)
            used = [term for user, waits_on in longer for term in _used(problem, name, user, part, waits_on)]
            arrived = [(column, -pieces) for column, pieces in purchases.arrivals(part, day) + from_shelf]
            problem.addConstraint(weighted_sum(used + arrived) <= free, f"arrived_{name}")
    return waits


def _arrival_days(parts: Sequence[str], purchases: Purchases) -> list[int]:
    return sorted({0}.union(*(purchases.arrival_days(part) for part in parts)))


def _waiting(problem: pulp.LpProblem, number: str, user: User, purchases: Purchases) -> Waiting:
    days = [day for day in _arrival_days(list(user.uses), purchases) if day == 0 or day <= user.days]
    name = label(user.engine, number)
    longer = tuple(problem.add_variable(f"waits_{name}_past_{day}", 0, 1, "Integer") for day in days[:-1])
    for position in range(1, len(longer)):
        row = weighted_sum([(longer[position], 1), (longer[position - 1], -1)]) <= 0
        problem.addConstraint(row, f"waits_{name}_in_turn_{position}")
    return Waiting(tuple(days), longer)


def _used(problem: pulp.LpProblem, name: str, user: User, part: str, longer: pulp.LpVariable | None) -> Terms:
    """Return what an engine uses of a part unless it waits longer: all of it where it cannot."""
    if longer is None:
        return user.uses[part]
    own = f"{name}_{label(user.engine)}"
    by_then = problem.add_variable(f"used_{own}", 0, user.most[part], "Integer")
    row = weighted_sum([*user.uses[part], (by_then, -1), (longer, -user.most[part])]) <= 0
    problem.addConstraint(row, f"used_{own}_unless_waiting")
    return [(by_then, 1)]
