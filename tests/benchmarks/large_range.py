"""How near the best a large range comes: ``python -m tests.benchmarks.found_range [BUDGET …]``.

Ten families of 15 thicknesses, 50 scenarios of 30 engines, 120 s: the gap is to be within 1 % of the bound. Budgets in
whole currency units; without any, one that builds about 85 of 100 engines. Says wall and processor time, since the
search is limited by the wall and a busy machine gives it less of the other. ``--rules`` holds the range against the two
simple rules on fresh scenarios, over several made-up shops, instead.
"""

from __future__ import annotations

import os
import sys
import time

from stackopt.choose.patience import Patience
from stackopt.stocking.range.answer import CHOSEN_BY, VALUED_ON, drawn_from
from stackopt.stocking.range.scenarios import split_scenarios
from stackopt.stocking.range.split import SplitFinder
from stackopt.stocking.range.valued import share_built
from stackopt.stocking.range.yardsticks import commonest_first, equal_numbers
from tests.stocking.engines_to_come import made_up_families

# STACKOPT_SECONDS: more than 120 where the machine is shared and gives only a part of its processors.
SECONDS = float(os.environ.get("STACKOPT_SECONDS", "120"))
USUAL_BUDGET = 1400
SHOPS = (1, 2, 3, 4)


def measure(budget: int) -> None:
    """Print one line: engines built in the scenarios, the bound, the gap, and the time."""
    outlook, supply = made_up_families(1, 10, 7, 8, engines=30, scenarios=50)
    started, used = time.perf_counter(), time.process_time()
    drawn = drawn_from(outlook, supply)
    scenarios = drawn.scenarios(outlook.scenarios, CHOSEN_BY)
    left = SECONDS - 5 - (time.perf_counter() - started)
    ranges = SplitFinder(split_scenarios(scenarios), drawn.keepable)
    kept = ranges.find(100 * budget, Patience.of_seconds(left))
    gap = (kept.bound - kept.built) / kept.bound
    sys.stdout.write(
        f"budget {budget:>5}: {kept.built} of 1500 built, bound {kept.bound:.1f}, gap {100 * gap:.2f} % (aim 1 %); "
        f"{time.perf_counter() - started:.0f} s, processor {time.process_time() - used:.0f} s\n"
    )


def beside_rules(seed: int) -> None:
    """Print for one made-up shop what the range and both rules build on fresh scenarios for the same money."""
    outlook, supply = made_up_families(seed, 3, 7, 8, engines=12, scenarios=50)
    drawn = drawn_from(outlook, supply)
    scenarios, fresh = drawn.scenarios(outlook.scenarios, CHOSEN_BY), drawn.scenarios(100, VALUED_ON)
    for budget in (300, 450, 600):
        ranges = SplitFinder(split_scenarios(scenarios), drawn.keepable)
        kept = ranges.find(100 * budget, Patience.of_seconds(40))
        rules = (
            kept.pieces,
            equal_numbers(drawn.keepable, 100 * budget),
            commonest_first(drawn.keepable, drawn.needs(), 100 * budget),
        )
        shares = [100 * share_built(pieces, fresh, outlook.engines).mean for pieces in rules]
        sys.stdout.write(
            f"shop {seed}, budget {budget}: range {shares[0]:.1f} %, equal numbers {shares[1]:.1f} %, "
            f"commonest first {shares[2]:.1f} %; {shares[0] - shares[1]:+.1f} and {shares[0] - shares[2]:+.1f} points\n"
        )
        sys.stdout.flush()


def main() -> None:
    """Measure what the arguments ask for."""
    if "--rules" in sys.argv:
        for seed in SHOPS:
            beside_rules(seed)
        return
    for budget in map(int, sys.argv[1:] or [USUAL_BUDGET]):
        measure(budget)


if __name__ == "__main__":
    main()
