"""Does `restock` keep its promise? ``python -m tests.benchmarks.restock_service [HISTORIES]`` prints the service table.

For each class of demand many parts with a record of two years are made up. From that day on the part is looked at once
a week and ordered up to its level when it is at its point, as the rule sees it on that day: with the points of
`restock`, with rules that a shop would use, and with points of one who knows the true demand (the smallest that hold
the service level). A lead time is bridged when nobody waits for the part at the moment its order arrives.
"""

from __future__ import annotations

import math
import sys
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from functools import cache

import numpy as np
from scipy.stats import norm, poisson

from stackopt.parts.part_records import StockLine, Usage
from stackopt.stocking.demand.leads import Delivery, lateness
from stackopt.stocking.reorder.points import reorder_points
from stackopt.stocking.reorder.restock_records import Policy
from tests.stocking.situations import offer, supply

TODAY = date(2026, 6, 1)
RECORD, HORIZON, LEAD, REVIEW, LEVEL = 730, 270, 21, 7, 0.95
LATE_DAYS, LATE_SHARE = 21, 0.25
RATES_PER_YEAR = (3.0, 6.0, 12.0, 24.0)
WEEK_CYCLE = 7
Rule = Callable[["History", int], tuple[int, int]]


@dataclass
class History:
    """One made-up part: days of its uses (from −RECORD on, today is 0), rows and pieces a use, and its true rate."""

    days: np.ndarray
    rows: int
    pieces: int
    rate: Callable[[float], float]
    starts: float = -RECORD
    late: bool = False
    deliveries: tuple[Delivery, ...] = ()

    def usage(self, today: int) -> list[Usage]:
        """Return the record up to a day, as a sheet would have it."""
        day_zero = TODAY
        gone = [day_zero + timedelta(math.floor(day)) for day in self.days if day < today]
        return [Usage("P", day, self.pieces) for day in gone for _ in range(self.rows)]

    def mean(self, start: float, days: float) -> float:
        """Return the pieces expected from a day on."""
        steps = start + np.arange(int(days)) + 0.5
        return float(sum(map(self.rate, steps))) * self.rows * self.pieces


def poisson_days(rate: Callable[[float], float], most: float, begin: float, rng: np.random.Generator) -> np.ndarray:
    """Return days of events of a rate that changes: thinned from the most it ever is."""
    number = rng.poisson(most * (HORIZON + 100 - begin))
    days = np.sort(rng.uniform(begin, HORIZON + 100, number))
    return days[[rng.uniform(0, most) < rate(day) for day in days]]


def steady(per_day: float, rng: np.random.Generator, rows: int = 1, starts: float = -RECORD) -> History:
    """One event at a time, at random."""
    rate = lambda day: per_day if day >= starts else 0.0  # noqa: E731
    return History(poisson_days(rate, per_day, starts, rng), rows, 1, rate, starts)


def bursty(per_day: float, rng: np.random.Generator) -> History:
    """Bursts of 1 to 7 events, 3 on average, within ten days each."""
    begins = poisson_days(lambda _day: per_day / 3, per_day / 3, -RECORD, rng)
    days = [begin + rng.uniform(0, 10, 1 + rng.binomial(6, 1 / 3)) for begin in begins]
    return History(np.sort(np.concatenate([*days, np.zeros(0)])), 1, 1, lambda _day: per_day)


def seasonal(per_day: float, rng: np.random.Generator) -> History:
    """Four fifths up and down over the year, rising from its mean on the first day."""
    rate = lambda day: per_day * (1 + 0.8 * math.sin(2 * math.pi * day / 365.25))  # noqa: E731
    return History(poisson_days(rate, 1.8 * per_day, -RECORD, rng), 1, 1, rate)


def doubling(per_day: float, rng: np.random.Generator) -> History:
    """Twice as much each year, the mean rate reached a year ago."""
    rate = lambda day: per_day * 2 ** (1 + day / 365.25)  # noqa: E731
    return History(poisson_days(rate, rate(HORIZON + 100), -RECORD, rng), 1, 1, rate)


def delivered_late(per_day: float, rng: np.random.Generator) -> History:
    """Steady, one order in four three weeks late; forty deliveries are on record."""
    past = rng.uniform(size=40) < LATE_SHARE
    deliveries = tuple(Delivery("Bergmann", "P", LEAD, LEAD + LATE_DAYS * int(late), True) for late in past)
    history = steady(per_day, rng)
    history.late, history.deliveries = True, deliveries
    return history


CLASSES: dict[str, Callable[[float, np.random.Generator], History]] = {
    "steady": steady,
    "bursty": bursty,
    "new, 45 days": lambda rate, rng: steady(rate, rng, starts=-45),
    "new, 90 days": lambda rate, rng: steady(rate, rng, starts=-90),
    "new, 180 days": lambda rate, rng: steady(rate, rng, starts=-180),
    "season, rising": seasonal,
    "doubling a year": doubling,
    "twos in two rows": lambda rate, rng: steady(rate / 2, rng, rows=2),
    "one in four late": delivered_late,
}
# So long the part is watched: while it is still new, while the season still rises.
WATCHED = {"new, 45 days": 45, "new, 90 days": 90, "new, 180 days": 180, "season, rising": 91}


def ours(history: History, today: int) -> tuple[int, int]:
    """Return point and level of `restock`."""
    shop = supply([StockLine("P", 0), StockLine("Z", 1)], [offer("P", 900, lead_days=LEAD)])
    usage = [*history.usage(today), Usage("Z", TODAY - timedelta(RECORD + 200), 1)]
    policy = Policy(service_level=LEVEL, review_days=REVIEW)
    points = reorder_points(shop, usage, TODAY + timedelta(today), policy, lateness(history.deliveries))
    point = points.get("P")
    return (point.reorder_point, point.full) if point is not None else (0, 0)


def _lot(pieces_per_day: float) -> int:
    """Return the economic lot of the policy's own costs, pieces."""
    policy = Policy()
    fixed = policy.order_cents + policy.line_cents
    return max(1, round(math.sqrt(2 * fixed * pieces_per_day * 365.25 / (policy.holding_rate * 900))))


def _daily(history: History, today: int) -> tuple[np.ndarray, float]:
    gone = history.days[history.days < today]
    counts = np.bincount((gone + RECORD).astype(int), minlength=RECORD + today) * history.rows * history.pieces
    return counts, float(counts.mean())


def min_max(history: History, today: int) -> tuple[int, int]:
    """Return minimum half as much again as an average lead time takes, maximum a lot above."""
    _, mean = _daily(history, today)
    minimum = math.ceil(1.5 * mean * LEAD)
    return minimum, minimum + _lot(mean)


def normal(history: History, today: int) -> tuple[int, int]:
    """Return the normal (s, S): mean and 1.645 standard deviations over lead time and review."""
    counts, mean = _daily(history, today)
    days = LEAD + REVIEW
    point = math.ceil(mean * days + norm.ppf(LEVEL) * counts.std() * math.sqrt(days))
    return point, point + _lot(mean)


def newsvendor(history: History, today: int) -> tuple[int, int]:
    """Return the quantile of what was asked for in every span of lead time and review on record."""
    counts, mean = _daily(history, today)
    sums = np.convolve(counts, np.ones(LEAD + REVIEW), "valid")
    point = int(np.quantile(sums, LEVEL, method="higher"))
    return point, point + _lot(mean)


def known(extra: float) -> Rule:
    """Return the rule of one who knows the true rate: the quantile of a Poisson count, and so many pieces more."""

    def rule(history: History, today: int) -> tuple[int, int]:
        return _known_point(history, today, extra)

    return rule


def _known_point(history: History, today: int, extra: float) -> tuple[int, int]:
    mean = history.mean(today, LEAD + REVIEW)
    point = int(poisson.ppf(LEVEL, mean)) + round(extra)
    return max(0, point), max(0, point) + _lot(mean / (LEAD + REVIEW))


@dataclass
class Seen:
    """What a rule came to: lead times, those bridged, and pieces on the shelf a day on average."""

    lead_times: int = 0
    bridged: int = 0
    stock_days: float = 0.0
    days: int = 0

    @property
    def share(self) -> float:
        """The share of lead times bridged."""
        return self.bridged / max(1, self.lead_times)

    @property
    def stock(self) -> float:
        """Pieces on the shelf on an average day."""
        return self.stock_days / max(1, self.days)


def run(history: History, rule: Rule, watched: int, rng: np.random.Generator, seen: Seen) -> None:
    """Watch one part from today on; orders of the watched days are followed to their arrival."""
    point, full = rule(history, 0)
    # Who watches a short time only sees an order where the part stands at its point on the first day.
    there = point if watched < HORIZON else int(rng.integers(point + 1, max(point + 2, full + 1)))
    coming: list[tuple[int, int, bool]] = []
    uses = np.bincount(history.days[history.days >= 0].astype(int), minlength=HORIZON + 101) * history.rows
    look = int(rng.integers(WEEK_CYCLE))
    changed = watched < HORIZON
    for day in range(watched + LEAD + LATE_DAYS + 1):
        for arrival, pieces, counted in [each for each in coming if each[0] == day]:
            if counted:
                seen.lead_times += 1
                seen.bridged += there >= 0
            there += pieces
            coming.remove((arrival, pieces, counted))
        there -= int(uses[day]) * history.pieces
        changed = changed or uses[day] > 0
        if day % WEEK_CYCLE == look and changed:
            point, full = rule(history, day + 1)
            position = there + sum(pieces for _, pieces, _ in coming)
            if position <= point and full > position:
                lead = LEAD + (LATE_DAYS if history.late and rng.uniform() < LATE_SHARE else 0)
                coming.append((day + lead, full - position, day < watched))
            changed = False
        if day < watched:
            seen.stock_days += max(0, there)
            seen.days += 1


def histories(name: str, number: int, seed: int = 1) -> list[History]:
    """Return so many parts of a class, rates in turn; such as were never used are left out."""
    rng = np.random.default_rng([seed, sorted(CLASSES).index(name)])
    made: list[History] = []
    while len(made) < number:
        history = CLASSES[name](RATES_PER_YEAR[len(made) % len(RATES_PER_YEAR)] / 365.25, rng)
        if (history.days < 0).any():
            made.append(history)
    return made


def seen_by(name: str, rule: Rule, parts: Sequence[History]) -> Seen:
    """Return what a rule comes to over parts of a class."""
    seen = Seen()
    for number, history in enumerate(parts):
        run(history, rule, WATCHED.get(name, HORIZON), np.random.default_rng([7, number]), seen)
    return seen


@cache
def best_known(name: str, number: int) -> tuple[Seen, float]:
    """Return what the least points of one who knows the demand come to, and how many pieces above Poisson they are."""
    parts = histories(name, number)
    for extra in range(-2, 12):
        seen = seen_by(name, known(extra), parts)
        if seen.share >= LEVEL:
            return seen, extra
    raise AssertionError(name)


RULES: dict[str, Rule] = {"restock": ours, "min/max": min_max, "normal": normal, "newsvendor": newsvendor}


def main() -> None:
    """Print the service table."""
    number = int(sys.argv[1]) if len(sys.argv) > 1 else 300
    sys.stdout.write(f"{'demand':<18}{'known':>16}" + "".join(f"{name:>22}" for name in RULES) + "\n")
    for name in CLASSES:
        best, _ = best_known(name, number)
        parts = histories(name, number)
        cells = [f"{100 * best.share:5.1f} % {best.stock:6.2f}  "]
        for rule in RULES.values():
            seen = seen_by(name, rule, parts)
            cells.append(f"{100 * seen.share:5.1f} % {seen.stock:6.2f} ×{seen.stock / best.stock:4.2f} ")
        sys.stdout.write(f"{name:<18}" + " ".join(cells) + f" of {best.lead_times} lead times\n")
        sys.stdout.flush()


if __name__ == "__main__":
    main()
