"""Ranges for rising amounts of money: a range for less money is one for more, so more money never builds less.

Ranges are searched for fixed amounts of money alone, the same for every budget. Between two of them the range for the
smaller one is filled up, piece by piece in an order that does not depend on the budget: so whatever a budget may keep,
a larger one may keep as well, and on the way to the range for the larger amount it gets ever nearer to that.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Mapping, Sequence

from msgspec import Struct

from stackopt.stocking.range.keepable import Keepable, tied_up_cents
from stackopt.stocking.range.yardsticks import commonest_first

# Amounts of money, times a power of ten, for which ranges are searched: all of them near a budget, the round ones
# farther below it, down to this share of it.
FIXED = (*(1 + each / 10 for each in range(10)), *(2 + each / 4 for each in range(12)), *(5 + n / 2 for n in range(10)))
ROUND = (1.0, 1.5, 2.0, 2.5, 3.0, 4.0, 5.0, 6.0, 7.0, 8.0, 9.0)
NEAR, LEAST_SHARE = 0.8, 0.45
# The curve goes so many times the budget above it.
DEARER = (1.25, 1.5, 2.0)


class Step(Struct, frozen=True):
    """What is kept for some money: the amount, cents, the pieces by part number, and the share of engines built."""

    budget_cents: float
    pieces: Mapping[str, int]
    share: float


class Amounts(Struct, frozen=True):
    """Amounts of money for which ranges are searched, cents: below a budget or at it, the next above it, and far above.

    `above` is None where the budget is itself one of the fixed amounts.
    """

    below: tuple[float, ...]
    above: float | None
    far_above: tuple[float, ...]

    @property
    def all(self) -> list[float]:
        """All of them, rising."""
        return [*self.below, *(() if self.above is None else (self.above,)), *self.far_above]


def amounts_for(budget_cents: int) -> Amounts:
    """Return the amounts of money for which ranges are searched when a range is asked for a budget."""
    tens = range(math.floor(math.log10(budget_cents)) - 1, math.ceil(math.log10(budget_cents)) + 2)
    fixed = sorted(round(amount * 10.0**power, 6) for power in tens for amount in FIXED)
    rounds = {round(amount * 10.0**power, 6) for power in tens for amount in ROUND}
    below = [
        amount
        for amount in fixed
        if NEAR * budget_cents <= amount <= budget_cents
        or (amount in rounds and LEAST_SHARE * budget_cents <= amount < budget_cents)
    ]
    lowest = max(amount for amount in fixed if amount <= budget_cents / 4)
    above = None if budget_cents in below else min(amount for amount in fixed if amount > budget_cents)
    return Amounts((lowest, *below), above, tuple(factor * budget_cents for factor in DEARER))


class Ladder:
    """The best range known for ever more money.

    Parameters
    ----------
    keepable
        What can be kept.
    needs
        Pieces that an average scenario takes, by part number: what is left of the money is spent by them.
    share_of
        The share of engines that a range builds. Ranges are compared on the scenarios that the answer shows, so that no
        dearer range looks worse there by luck.
    today
        What lies on the shelf: a range as any other.
    too_long
        Tells of a range that it would take too long to find its share; it is left out then.
    """

    def __init__(
        self,
        keepable: Mapping[str, Keepable],
        needs: Mapping[str, float],
        share_of: Callable[[Mapping[str, int]], float],
        today: Mapping[str, int],
        too_long: Callable[[Mapping[str, int]], bool] = lambda _pieces: False,
    ) -> None:
        self.keepable = keepable
        self.needs = needs
        self.share_of = share_of
        self.today = today
        self.too_long = too_long
        self._best: Mapping[str, int] = {}
        self._found: Mapping[str, int] = {}

    def far(self, budget_cents: float, found: Mapping[str, int]) -> Step:
        """Return the best for an amount far from the budget, for which a range was found: it is seen on the curve."""
        step = self._step(budget_cents, [found, self._grown(budget_cents, self._best, {}), self._best])
        self._found = found
        return step

    def near(self, budget_cents: float, found: Mapping[str, int]) -> Step:
        """Return the best for an amount near the budget, for which a range was found.

        A range found ties up no more than its own draws need; where there are few of them, what is left of the money
        still serves the engines that did not come up in them.
        """
        left_cents = budget_cents - tied_up_cents(found, self.keepable)
        spent = [
            commonest_first(self.keepable, self.needs, budget_cents - part * left_cents, found) for part in (0.5, 0)
        ]
        step = self._step(budget_cents, [found, *spent, *self._between(budget_cents, found)])
        self._found = found
        return step

    def between(self, budget_cents: float, above: Mapping[str, int], found: Mapping[str, int]) -> Step:
        """Return the best for an amount between the last one and one for which the range above was found.

        What was found for the amount itself counts where there is no time for what grows with the amount.
        """
        candidates = list(self._between(budget_cents, above))
        if any(map(self.too_long, candidates)):
            candidates.append(found)
        return self._step(budget_cents, candidates)

    def _between(self, budget_cents: float, above: Mapping[str, int]) -> Iterator[Mapping[str, int]]:
        """Yield ranges that grow with the amount, towards the one above and beyond it."""
        common = {part: min(pieces, above.get(part, 0)) for part, pieces in self._found.items()}
        yield self._best
        for start in (common, self._found, self._best):
            yield self._grown(budget_cents, start, above)
        yield self._grown(budget_cents, {}, {})
        if tied_up_cents(self.today, self.keepable) <= budget_cents:
            yield self.today

    def _grown(self, budget_cents: float, start: Mapping[str, int], above: Mapping[str, int]) -> Mapping[str, int]:
        """Return a range with more on top: first what the one above has, then the commonest needs.

        It ends before the first pieces that are too dear, so what is kept for less money is kept for more.
        """
        kept = {
            part: max(start.get(part, 0), 0 if each.piece_cents else each.on_hand)
            for part, each in self.keepable.items()
        }
        left_cents = budget_cents - tied_up_cents(kept, self.keepable)
        while (part := self._most_lacking(kept, above)) is not None:
            level = self.keepable[part].next_level(kept[part])
            assert level is not None
            left_cents -= (level - kept[part]) * self.keepable[part].piece_cents
            if left_cents < 0:
                break
            kept[part] = level
        return kept

    def _most_lacking(self, kept: Mapping[str, int], above: Mapping[str, int]) -> str | None:
        """Return the part to raise next: one that the range above has more of, else one that is needed."""
        levels = {part: self.keepable[part].next_level(pieces) for part, pieces in kept.items()}
        more = [part for part, level in levels.items() if level is not None and level <= above.get(part, 0)]
        needed = [part for part, level in levels.items() if level is not None and self.needs.get(part)]
        open_parts = [part for part in more or needed if self.keepable[part].piece_cents]
        return min(open_parts, key=lambda part: (kept[part] / (self.needs.get(part) or 1e-9), part), default=None)

    def _step(self, budget_cents: float, candidates: Sequence[Mapping[str, int]]) -> Step:
        """Take the candidate that builds most; of two that build alike the cheaper. What is known takes no time."""
        valued = [
            ((self.share_of(pieces), -tied_up_cents(pieces, self.keepable)), pieces)
            for pieces in candidates
            if pieces == self._best or not self.too_long(pieces)
        ]
        (share, _), self._best = max(valued, key=lambda each: each[0], default=((0.0, 0.0), self._best))
        return Step(budget_cents, self._best, share)
