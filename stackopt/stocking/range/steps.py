"""Ranges for rising amounts of money: a range for less money is one for more, so more money never builds less."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence

from msgspec import Struct

from stackopt.stocking.range.keepable import Keepable, tied_up_cents
from stackopt.stocking.range.yardsticks import commonest_first

# Round amounts of money, times a power of ten: the same for every budget, so that a larger one looks at what a smaller
# one looked at.
ROUND = (1.0, 1.5, 2.0, 2.5, 3.0, 4.0, 5.0, 6.0, 7.0, 8.0, 9.0)
# Round amounts are looked at down to this share of the budget, and so many times the budget above it.
LEAST_SHARE = 0.45
DEARER = (1.25, 1.5, 2.0)


class Step(Struct, frozen=True):
    """What is kept for some money: the amount, cents, the pieces by part number, and the share of engines built."""

    budget_cents: float
    pieces: Mapping[str, int]
    share: float


def budgets_beside(budget_cents: int) -> tuple[list[float], list[float]]:
    """Return the amounts of money below and above a budget for which ranges are looked for as well, cents."""
    tens = range(math.floor(math.log10(budget_cents)) - 1, math.ceil(math.log10(budget_cents)) + 1)
    rounds = sorted(amount * 10.0**power for power in tens for amount in ROUND)
    cheaper = [amount for amount in rounds if LEAST_SHARE * budget_cents <= amount < budget_cents]
    return [budget_cents / 4, *cheaper], [factor * budget_cents for factor in DEARER]


def rising_steps(
    found: Sequence[tuple[float, Sequence[Mapping[str, int]]]],
    keepable: Mapping[str, Keepable],
    needs: Mapping[str, float],
    share_of: Callable[[Mapping[str, int]], float],
) -> list[Step]:
    """Return for each amount of money the best range that is known for it or for less.

    Parameters
    ----------
    found
        Amounts of money, rising, each with ranges found for it.
    keepable
        What can be kept.
    needs
        Pieces that an average scenario takes, by part number: what is left of the money is spent by them.
    share_of
        The share of engines that a range builds. Ranges are compared on the scenarios that the answer shows, so that no
        dearer range looks worse there by luck.
    """
    steps: list[Step] = []
    best: Mapping[str, int] = {}
    for budget_cents, ranges in found:
        filled = [commonest_first(keepable, needs, budget_cents, pieces) for pieces in (*ranges[:1], best)]
        candidates = [*ranges, *filled, best]
        # Of two that build alike the cheaper is taken.
        shares = [(share_of(pieces), -tied_up_cents(pieces, keepable)) for pieces in candidates]
        place = shares.index(max(shares))
        best = candidates[place]
        steps.append(Step(budget_cents, best, shares[place][0]))
    return steps
