"""How often the deck's 95 % interval holds the true deck: ``python -m tests.benchmarks.coverage [--builds 20000]``.

For each way of reading, so many builds: a true deck height, a true tilt or rock, dead centre found anew for each
reading, the instrument's rounding and errors. What is counted is how often the interval that `fit` prints holds the
true deck height. Every case has to lie between 93 and 99.5 % where dead centre is found as is assumed, as in haste, or
as is stated; and at 93 % or above where it is found better and nobody says so, for which the answer claims 95 % or
more. Prints the table of the guide's topic `numbers`.
"""

from __future__ import annotations

import argparse
import math
import sys
from collections.abc import Sequence
from functools import cache

import numpy as np
from msgspec import Struct
from msgspec.structs import replace

from stackopt.books.engine_text.steps import common_step_mm
from stackopt.engine.engine_records import Spread
from stackopt.engine.readings.deck_spread import deck_reach_mm
from stackopt.engine.readings.measured import measured_deck
from stackopt.engine.readings.places import ACROSS_BACK, ACROSS_FRONT, PIN_END_ONE, PIN_END_TWO, Reading

LEAST, MOST = 0.93, 0.995
INCH_STEP_MM = 0.0254
SEED = 20270212
# A step so many times the scatter leaves nothing but rounding.
BOUNDED = 5.0


class Hand(Struct, frozen=True):
    """How dead centre scatters when it is found again, and whether the readings say so.

    `is_claimed`: the interval claims 95 % for this hand, not 95 % or more, so it must not be too wide either.
    """

    name: str
    standard_mm: float
    stated_mm: float | None = None
    is_claimed: bool = True
    is_uniform: bool = False

    def errors_mm(self, random: np.random.Generator, shape: tuple[int, int]) -> np.ndarray:
        """Return errors of so many readings."""
        if self.is_uniform:
            return random.uniform(-1, 1, shape) * self.standard_mm * math.sqrt(3)
        return random.normal(0, self.standard_mm, shape)


class Way(Struct, frozen=True):
    """One way of reading; lengths in mm.

    `repeats` are those at each of the two places; `step` is the instrument's, `leaf` the gap of a feeler gauge's
    leaves. `tilt` is the standard deviation of the true tilt from place to place, `rock` the half-width of the
    true rock: a quarter of it is anew in each reading, all of it where the piston `flops`. `agreeing` looks only at
    builds whose repeats agree; not `is_step_stated`: the step is what the readings show.
    """

    name: str
    repeats: tuple[int, int] = (1, 1)
    step: float = 0.01
    leaf: float = 0.0
    tilt: float = 0.0
    rock: float = 0.0
    flops: bool = False
    error_limit: float = 0.0
    base_tolerance: float = 0.0
    agreeing: bool = False
    is_step_stated: bool = True

    @property
    def is_left_to_chance(self) -> bool:
        """Nobody sees from readings across the pin whether the piston flopped: such an interval may be too wide."""
        return bool(self.rock)

    def is_claimed_for(self, hand: Hand) -> bool:
        """Tell whether the interval must not be too wide: it claims 95 %, and not all of the error is rounding.

        Rounding has an end at half a step, so beside a step five times the scatter a 95 % interval holds nearly all.
        """
        return hand.is_claimed and hand.standard_mm * BOUNDED > self.step


WAYS = (
    Way("pin ends, once each"),
    Way("pin ends, once each, deck tilted", tilt=0.02),
    Way("pin ends, twice each", (2, 2)),
    Way("pin ends, twice each, repeats agree", (2, 2), agreeing=True),
    Way("pin ends, three times each, repeats agree", (3, 3), agreeing=True),
    Way("pin ends, five times each", (5, 5)),
    Way("pin ends, three times and once", (3, 1)),
    Way("instrument of 0.001 mm, twice each", (2, 2), step=0.001),
    Way("instrument of 0.02 mm, twice each", (2, 2), step=0.02),
    Way("vernier of 0.05 mm, step not stated, once each", step=0.05, is_step_stated=False),
    Way("vernier of 0.05 mm, step not stated, twice each", (2, 2), step=0.05, is_step_stated=False),
    Way("instrument of 0.02 mm, step not stated, twice each", (2, 2), step=0.02, is_step_stated=False),
    Way("dial of 0.01 mm, step not stated, twice each", (2, 2), is_step_stated=False),
    Way("dial of 0.001 in, once each", step=INCH_STEP_MM),
    Way("dial of 0.001 in, twice each", (2, 2), step=INCH_STEP_MM),
    Way("dial of 0.001 in, twice each, deck tilted", (2, 2), step=INCH_STEP_MM, tilt=0.02),
    Way("feeler leaves 0.05 mm apart", leaf=0.05),
    Way("feeler leaves 0.05 mm apart, deck tilted", leaf=0.05, tilt=0.02),
    Way("feeler leaves 0.10 mm apart", leaf=0.10),
    Way("feeler leaves 0.10 mm apart, deck tilted", leaf=0.10, tilt=0.02),
    Way("opposite pair across the pin, piston flops", rock=0.05, flops=True),
    Way("opposite pair across the pin, twice each, piston flops", (2, 2), rock=0.05, flops=True),
    Way("opposite pair across the pin, piston held", rock=0.05),
    Way("base gasket of ± 0.02 mm in place", (2, 2), base_tolerance=0.02),
    Way("instrument with a limit of error of 0.01 mm", (2, 2), error_limit=0.01),
)


HANDS = (
    Hand("not stated: s = 0.008 mm, as assumed", 0.008),
    Hand("not stated: 0.010 mm, in haste", 0.010),
    Hand("not stated: 0.006 mm, with care", 0.006, is_claimed=False),
    Hand("stated 0.005 mm", 0.005, 0.005),
    Hand("stated 0.010 mm", 0.010, 0.010),
    Hand("not stated: anywhere within 0.01 mm", 0.01 / math.sqrt(3), is_claimed=False, is_uniform=True),
)


class Builds(Struct, frozen=True):
    """Many builds: the true deck heights, and what was read at either place, a row a build; mm."""

    decks_mm: np.ndarray
    shown_mm: tuple[np.ndarray, np.ndarray]


def share_held(way: Way, builds: int, hand: Hand) -> float:
    """Return the share of builds whose interval holds the true deck height."""
    made = _that_agree(way, builds, hand) if way.agreeing else made_builds(way, builds, hand)
    known: dict[tuple[object, ...], tuple[float, float]] = {}
    held = 0
    for deck_mm, *shown_mm in zip(made.decks_mm.tolist(), *(one.tolist() for one in made.shown_mm), strict=True):
        readings = _readings(way, hand, shown_mm)
        first_mm = readings[0].values_mm[0]
        # Where the deck lies does not matter: readings that differ alike have the same interval about their mean.
        key = tuple((one.step_mm, *(round(value - first_mm, 6) for value in one.values_mm)) for one in readings)
        if key not in known:
            measured = measured_deck(readings)
            known[key] = measured.deck_height_mm - first_mm, _reach_mm(_rounded(measured.spread))
        beyond_mm, reach_mm = known[key]
        held += abs(first_mm + beyond_mm - deck_mm) <= reach_mm + 1e-9
    return held / builds


def _that_agree(way: Way, builds: int, hand: Hand) -> Builds:
    """Return so many builds whose repeats agree at either place."""
    random, kept, found = np.random.default_rng(SEED), [], 0
    while found < builds:
        more = made_builds(way, 20 * builds, hand, random)
        agree = np.logical_and(*(np.ptp(one, axis=1) < way.step / 2 for one in more.shown_mm))
        kept.append((more.decks_mm[agree], *(one[agree] for one in more.shown_mm)))
        found += int(agree.sum())
    decks_mm, *shown_mm = (np.concatenate(own)[:builds] for own in zip(*kept, strict=True))
    return Builds(decks_mm, (shown_mm[0], shown_mm[1]))


def build(way: Way, hand: Hand, random: np.random.Generator) -> tuple[float, list[Reading]]:
    """Return the true deck height of one build, and what was read of it."""
    made = made_builds(way, 1, hand, random)
    return float(made.decks_mm[0]), _readings(way, hand, [one[0].tolist() for one in made.shown_mm])


def made_builds(way: Way, builds: int, hand: Hand, random: np.random.Generator | None = None) -> Builds:
    """Make builds anew: the deck, its tilt, the rock, what errs alike in all readings, dead centre of each reading."""
    random = np.random.default_rng(SEED) if random is None else random
    column = (builds, 1)
    deck_mm, half_tilt_mm = random.uniform(-0.3, 0.3, column), random.normal(0, way.tilt, column) / 2
    common_mm = random.uniform(-1, 1, column) * way.error_limit + random.uniform(-1, 1, column) * way.base_tolerance
    rock_mm = random.uniform(-way.rock, way.rock, column)
    shown = []
    for sign, repeats in zip((1, -1), way.repeats, strict=True):
        anew_mm = random.uniform(-way.rock, way.rock, (builds, repeats))
        rocked_mm = anew_mm if way.flops else rock_mm + anew_mm / 4
        errors_mm = hand.errors_mm(random, (builds, repeats))
        values_mm = deck_mm + sign * (half_tilt_mm + rocked_mm) + common_mm + errors_mm
        shown.append(_as_shown(way, values_mm + _base_mm(way)))
    return Builds(deck_mm[:, 0], (shown[0], shown[1]))


def _base_mm(way: Way) -> float:
    return 0.4 if way.base_tolerance else 0.0


def _readings(way: Way, hand: Hand, shown_mm: Sequence[Sequence[float]]) -> list[Reading]:
    """Return what was read of one build, the repeats at a place in order: it does not matter which came first."""
    places = (ACROSS_FRONT, ACROSS_BACK) if way.rock else (PIN_END_ONE, PIN_END_TWO)
    readings = [
        Reading(
            angle,
            tuple(sorted(values_mm)),
            step_mm=0.0 if way.leaf else way.step,
            bracket_mm=way.leaf / 2,
            error_limit_mm=way.error_limit,
            base_gasket_mm=_base_mm(way),
            base_gasket_tolerance_mm=way.base_tolerance,
            dead_centre_mm=hand.stated_mm,
        )
        for angle, values_mm in zip(places, shown_mm, strict=True)
    ]
    return readings if way.is_step_stated else _with_step_shown(readings)


def _with_step_shown(readings: list[Reading]) -> list[Reading]:
    """Return the readings with the step that an engine file of this cylinder alone would be taken to show."""
    texts = [{"value": [f"{value:.2f} mm" for value in one.values_mm]} for one in readings]
    step_mm = max(0.01, common_step_mm({"cylinder": [{"reading": texts}]}))
    return [replace(one, step_mm=step_mm) for one in readings]


def _as_shown(way: Way, values_mm: np.ndarray) -> np.ndarray:
    """Round to the instrument's step, or take the middle between two leaves."""
    if way.leaf:
        return np.round((np.floor(values_mm / way.leaf) + 0.5) * way.leaf, 9)
    return np.round(np.round(values_mm / way.step) * way.step, 9)


def _rounded(spread: Spread) -> Spread:
    """Return a spread that equal readings share to the last digit, so that each interval is worked out once."""
    limits_mm = tuple(round(limit, 6) for limit in spread.deck_limits_mm)
    return Spread(round(spread.deck_mm, 6), round(spread.deck_degrees_of_freedom, 6), deck_limits_mm=limits_mm)


_reach_mm = cache(deck_reach_mm)


def main() -> None:
    """Print the table, and fail where a case lies outside."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--builds", type=int, default=20_000)
    builds = parser.parse_args().builds
    _line(f"| how the deck is read ({builds:,} builds a case) | {' | '.join(hand.name for hand in HANDS)} |")
    _line("| --- |" + " --- |" * len(HANDS))
    outside = []
    for way in WAYS:
        shares = [share_held(way, builds, hand) for hand in HANDS]
        _line(f"| {way.name} | {' | '.join(f'{share:.1%}' for share in shares)} |")
        claimed = [share for hand, share in zip(HANDS, shares, strict=True) if way.is_claimed_for(hand)]
        too_wide = max(claimed, default=0.0) > MOST and not way.is_left_to_chance
        outside += [way.name] if too_wide or min(shares) < LEAST else []
    _say_what_no_width_can(100 * builds)
    if outside:
        raise SystemExit(f"outside {LEAST:.0%} to {MOST:.1%}: {', '.join(outside)}")


def widths_mm(way: Way, hand: Hand, builds: int) -> tuple[float, float]:
    """Return the half-widths about the mean at which a way of reading holds the least and the most asked, mm."""
    made = made_builds(way, builds, hand)
    errors_mm = np.abs(np.mean(np.hstack(made.shown_mm), axis=1) - made.decks_mm)
    least_mm, most_mm = np.quantile(errors_mm, (LEAST, MOST)).tolist()
    return least_mm, most_mm


def _say_what_no_width_can(builds: int) -> None:
    """Print why no interval holds between the least and the most for every hand where one reading is all there is."""
    for hand in HANDS[1:3]:
        least_mm, most_mm = widths_mm(WAYS[0], hand, builds)
        _line(f"{WAYS[0].name}, {hand.name}: {LEAST:.0%} with ± {least_mm:.4f} mm, {MOST:.1%} with ± {most_mm:.4f} mm")


def _line(text: str) -> None:
    sys.stdout.write(f"{text}\n")
    sys.stdout.flush()


if __name__ == "__main__":
    main()
