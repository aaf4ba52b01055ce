"""Does `restock` hold its service level, and at what cost? ``python -m tests.benchmarks.restock_weeks [WEEKS]``.

The demonstration shop for 1,000 weeks: engines arrive at random (Poisson) and take what some engine on record took,
once a week the shop restocks, orders arrive after the suppliers' lead times, what is missing is waited for. Twice with
the same engines: with the points that usage sets, and with the minimum and maximum of the shop's own stock list. Parts
that nobody lists are left out. A lead time is bridged when nobody waits for the part at the moment its order arrives.
"""

from __future__ import annotations

import math
import random
import sys
from collections import Counter, defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date
from pathlib import Path

from msgspec.structs import replace

from stackopt.books.facts.read import read_books
from stackopt.choose.choice_records import Order, Request
from stackopt.parts.part_records import Supply, UnderWay, Usage
from stackopt.stocking import restock
from stackopt.stocking.reorder.restock_records import Policy
from stackopt.stocking.reorder.usual import shelf_sources, usual_offers

HOME = Path(__file__).parents[2] / "scenarios" / "whole-shop"
BOOKS = ("shop.xlsx", "dorfmoos.xlsx", "quillhaven.csv", "varnik.csv")
TODAY = date(2027, 2, 1)
DAYS_A_WEEK, DAYS_A_YEAR = 7, 365.25
POLICY = Policy(review_days=DAYS_A_WEEK)
NORMAL_95 = 1.96


@dataclass
class Run:
    """One simulated shop: pieces there (less what is waited for) and on their way, and what it came to."""

    there: Counter[str]
    coming: list[tuple[int, str, int]] = field(default_factory=list)
    bridged: dict[str, list[bool]] = field(default_factory=lambda: defaultdict(list))
    stock_days: Counter[str] = field(default_factory=Counter)
    asked: int = 0
    at_once: int = 0
    orders: int = 0
    lines: int = 0
    goods_cents: float = 0.0
    freight_cents: int = 0

    def receive(self, day: int) -> None:
        """Put away what arrives today."""
        for arrival, part, pieces in [each for each in self.coming if each[0] == day]:
            self.bridged[part].append(self.there[part] >= 0)
            self.there[part] += pieces
            self.coming.remove((arrival, part, pieces))

    def take(self, pieces: Mapping[str, int]) -> None:
        """Take what an engine needs; what is not there is waited for."""
        for part, number in pieces.items():
            self.asked += number
            self.at_once += min(number, max(0, self.there[part]))
            self.there[part] -= number

    def on_order(self) -> Counter[str]:
        """Pieces on their way by part, less what is waited for."""
        total = Counter[str]()
        for _, part, pieces in self.coming:
            total[part] += pieces
        total.update({part: pieces for part, pieces in self.there.items() if pieces < 0})
        return total

    def place(self, orders: Sequence[Order], day: int) -> None:
        """Send orders."""
        for order in orders:
            self.orders += 1
            self.freight_cents += order.freight_cents
            for line in order.lines:
                self.lines += 1
                self.goods_cents += line.line_cents
                self.coming.append((day + line.offer.lead_days, line.offer.part, line.packs * line.offer.pack))


def demonstration(*, own_levels: bool) -> tuple[Supply, tuple[Usage, ...]]:
    """Return the demonstration shop without what nobody lists; with or without its own minimum and maximum."""
    books = read_books([HOME / name for name in BOOKS])
    listed = usual_offers(shelf_sources(books.supply))
    stock = {part: line for part, line in books.supply.stock.items() if part in listed}
    if not own_levels:
        stock = {part: replace(line, minimum=None, maximum=None) for part, line in stock.items()}
    usage = tuple(entry for entry in books.usage if entry.part in stock)
    return replace(books.supply, stock=stock), usage


def engines_of_record(usage: Sequence[Usage]) -> list[dict[str, int]]:
    """Return what each engine on record took: all that left the shelf on one day."""
    taken: dict[date, dict[str, int]] = defaultdict(dict)
    for entry in usage:
        taken[entry.day][entry.part] = entry.quantity
    return list(taken.values())


def simulate(weeks: int, *, own_levels: bool, seed: int = 1) -> tuple[Run, Supply]:
    """Run the shop for so many weeks."""
    supply, usage = demonstration(own_levels=own_levels)
    engines = engines_of_record(usage)
    per_day = len(engines) / (TODAY - min(entry.day for entry in usage)).days
    rng = random.Random(seed)
    run = Run(Counter({part: line.on_hand for part, line in supply.stock.items()}))
    points: dict[str, int] = {}
    next_engine = rng.expovariate(per_day)
    for day in range(weeks * DAYS_A_WEEK):
        run.receive(day)
        while next_engine < day + 1:
            run.take(rng.choice(engines))
            next_engine += rng.expovariate(per_day)
        if day % DAYS_A_WEEK == 0:
            _restock(run, day, supply, usage, points)
        for part, pieces in run.there.items():
            run.stock_days[part] += max(0, pieces)
    return run, supply


def _restock(run: Run, day: int, supply: Supply, usage: Sequence[Usage], points: dict[str, int]) -> None:
    """Restock where some part has fallen to its point; the points stay the same, as the record of usage does."""
    on_order = run.on_order()
    due = any(max(0, run.there[part]) + on_order[part] <= point for part, point in points.items())
    if points and not due:
        return
    stock = {part: replace(line, on_hand=max(0, run.there[part])) for part, line in supply.stock.items()}
    ordered = tuple(UnderWay(part, pieces, None) for part, pieces in on_order.items())
    answer = restock(Request((), TODAY), replace(supply, stock=stock, ordered=ordered), usage, POLICY)
    run.place(answer.orders, day)
    points.update({line.part: line.reorder_point for line in answer.parts if line.order_up_to > 0})


def yearly_costs(run: Run, supply: Supply, weeks: int) -> dict[str, float]:
    """Return what goods, freight, the shop's own work and keeping cost a year, cents."""
    years = weeks * DAYS_A_WEEK / DAYS_A_YEAR
    offers = usual_offers(shelf_sources(supply))
    keeping = sum(
        days / DAYS_A_YEAR * POLICY.holding_rate * offers[part].price_cents(1) / offers[part].pack
        for part, days in run.stock_days.items()
    )
    work = run.orders * POLICY.order_cents + run.lines * POLICY.line_cents
    costs = {"goods": run.goods_cents, "freight": run.freight_cents, "own work": work, "keeping": keeping}
    return {what: cents / years for what, cents in costs.items()}


def share_bridged(run: Run) -> tuple[float, float]:
    """Return the share of lead times that were bridged, and the half-width of its 95 % interval."""
    cycles = [bridged for own in run.bridged.values() for bridged in own]
    level = sum(cycles) / len(cycles)
    return level, NORMAL_95 * math.sqrt(level * (1 - level) / len(cycles))


def report(name: str, run: Run, supply: Supply, weeks: int) -> None:
    """Print what a run came to, a year."""
    costs = yearly_costs(run, supply, weeks)
    level, error = share_bridged(run)
    number = sum(map(len, run.bridged.values()))
    together = sum(costs.values())
    listed = ", ".join(f"{what} {cents / 100:.2f}" for what, cents in costs.items())
    sys.stdout.write(
        f"{name}: {100 * level:.1f} % ± {100 * error:.1f} of {number} lead times bridged, "
        f"{100 * run.at_once / run.asked:.1f} % of pieces at once\n"
        f"  a year: {listed}; without goods {(together - costs['goods']) / 100:.2f}, together {together / 100:.2f}\n"
    )
    for part, own in sorted(run.bridged.items()):
        sys.stdout.write(f"    {part:<10} {len(own):>4} orders, {100 * sum(own) / len(own):5.1f} % bridged\n")


def main() -> None:
    """Simulate both and print them."""
    weeks = int(sys.argv[1]) if len(sys.argv) > 1 else 1000
    for name, own_levels in (("points that usage sets", False), ("minimum and maximum of the list", True)):
        report(name, *simulate(weeks, own_levels=own_levels), weeks)


if __name__ == "__main__":
    main()
