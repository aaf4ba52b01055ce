"""Which thicknesses to keep, how many of each: drawn, chosen, valued on fresh scenarios, held against yardsticks."""

from __future__ import annotations

import math
import time
from collections import Counter
from collections.abc import Callable, Mapping, Sequence
from concurrent.futures import Executor

from msgspec import Struct
from msgspec.structs import replace

from stackopt.choose.choice_records import Status
from stackopt.choose.patience import Patience
from stackopt.engine.engine_records import Engine
from stackopt.parts.part_records import Part, Supply
from stackopt.side_by_side import each, each_by
from stackopt.stocking.range.gap import gap_limit
from stackopt.stocking.range.keepable import Keepable, keepable_parts, parts_of, tied_up_cents
from stackopt.stocking.range.outlook import Outlook, draw_scenarios
from stackopt.stocking.range.program import Range
from stackopt.stocking.range.range_records import BuiltShare, Proof, RangeAnswer, RangePart, ValuedRange, rising
from stackopt.stocking.range.scenarios import Scenario, engines_in, split_scenarios
from stackopt.stocking.range.seats import engine_seats, nearest_pieces
from stackopt.stocking.range.split import SplitFinder
from stackopt.stocking.range.steps import NEAR, Amounts, Ladder, Step, amounts_for
from stackopt.stocking.range.valued import built_in, share_built
from stackopt.stocking.range.whole import Bound, RangeFinder, WholeFinder
from stackopt.stocking.range.yardsticks import commonest_first, equal_numbers

# Streams of random numbers: the scenarios a range is found by, those it is valued on, and the first of the batches.
CHOSEN_BY, VALUED_ON, FIRST_BATCH = 0, 1, 3
FRESH_SCENARIOS = 100
BATCHES = 6
# More ways to fill seats than this are split by family, where families share no part.
MOST_WAYS_AT_ONCE = 4000
# Of the time that is left each time: for the choice, for other budgets, and for valuing all of it; the batches that
# tell how good the choice is have the rest.
CHOICE_TIME, CURVE_TIME, VALUING_TIME = 0.5, 0.4, 0.7


class Drawn(Struct, frozen=True):
    """What the engines to come are drawn from, and the parts they may get."""

    outlook: Outlook
    keepable: Mapping[str, Keepable]
    parts: Mapping[str, Sequence[Part]]

    def engines(self, count: int, stream: int) -> list[list[Engine]]:
        """Draw so many scenarios of engines."""
        return draw_scenarios(self.outlook, count, stream)

    def scenarios(self, count: int, stream: int) -> list[Scenario]:
        """Draw scenarios as classes of engines; engines that no parts can build are left out."""
        drawn = []
        for engines in self.engines(count, stream):
            seats = Counter(engine_seats(engine, self.parts[engine.family]) for engine in engines)
            drawn.append({own: number for own, number in seats.items() if all(own)})
        return list[Scenario](drawn)

    def needs(self) -> dict[str, float]:
        """Return the pieces an average scenario takes where every cylinder gets its nearest stack."""
        total = Counter[str]()
        for engines in self.engines(self.outlook.scenarios, CHOSEN_BY):
            for engine in engines:
                total.update(nearest_pieces(engine, self.parts[engine.family]))
        return {part: pieces / self.outlook.scenarios for part, pieces in total.items()}


def drawn_from(outlook: Outlook, supply: Supply) -> Drawn:
    """Return what engines to come are drawn from, with the parts of a supply that may be kept for them."""
    families = {family.family for family in outlook.families}
    keepable = keepable_parts(supply, families)
    parts = {
        family: [part for part in parts_of(supply, keepable) if part.fits_family(family)] for family in sorted(families)
    }
    return Drawn(outlook, keepable, parts)


def tied_up_today_cents(drawn: Drawn) -> int:
    """Return the money that the shelf's pieces for these engines tie up, cents."""
    return round(tied_up_cents(_on_hand(drawn), drawn.keepable))


def find_range(
    drawn: Drawn,
    budget_cents: int,
    patience: Patience | None = None,
    told: Callable[[str], None] = lambda _words: None,
    executor: Executor | None = None,
) -> RangeAnswer:
    """Find which parts to keep, and how many of each, so that most engines to come are built from the shelf.

    Parameters
    ----------
    drawn
        The engines to come and the parts for them.
    budget_cents
        The most money that may be tied up, what is kept of today's shelf included; cents.
    patience
        How long to go on; None: without end.
    told
        Is told in words what is being done.
    executor
        Who lets families that share no part answer, and works through other budgets and further scenarios; None for
        this process.
    """
    patience = patience or Patience()
    scenarios = drawn.scenarios(drawn.outlook.scenarios, CHOSEN_BY)
    finder = _finder(scenarios, drawn.keepable, executor)
    told(f"choosing among {len(drawn.keepable)} parts by {len(scenarios)} scenarios")
    found = finder.find(budget_cents, patience.part_of(CHOICE_TIME))
    told("choosing for other budgets")
    amounts = amounts_for(budget_cents)
    beside = [amount for amount in amounts.all if amount != budget_cents]
    ranges = dict(zip(beside, finder.curve(beside, patience.part_of(CURVE_TIME)), strict=True)) | {budget_cents: found}
    told("valuing all of it on fresh scenarios")
    fresh = _Fresh(drawn)
    fresh.value_all([own.pieces for own in ranges.values()], executor, patience)
    rules = fresh.valued_by_rules(found, budget_cents)
    steps = fresh.steps(amounts, ranges, budget_cents, patience.part_of(VALUING_TIME))
    chosen = _chosen(found, _at(steps, budget_cents).pieces, scenarios, drawn)
    told("holding the choice against further scenarios")
    gaps = _gaps(HeldAgainst(drawn, finder.bound, chosen.pieces, budget_cents), patience, executor)
    return RangeAnswer(
        outlook=drawn.outlook,
        budget_cents=budget_cents,
        parts=tuple(
            RangePart(own, chosen.pieces.get(part, 0), fresh.needs.get(part, 0.0))
            for part, own in drawn.keepable.items()
        ),
        chosen=fresh.valued(chosen.pieces),
        today=rules[0],
        equal=rules[1],
        commonest=rules[2],
        curve=rising([fresh.valued(step.pieces) for step in steps], lambda point: point.share.mean),
        reachable=fresh.reachable,
        proof=_proof(chosen, drawn.outlook, gaps),
    )


class _Fresh:
    """Scenarios that no range was chosen by, and what ranges build in them; each is valued once."""

    def __init__(self, drawn: Drawn) -> None:
        self.drawn = drawn
        self.scenarios = drawn.scenarios(FRESH_SCENARIOS, VALUED_ON)
        self.needs = drawn.needs()
        self._shares: dict[frozenset[tuple[str, int]], BuiltShare] = {}

    @property
    def reachable(self) -> float:
        """The share of engines that all parts together could build."""
        return sum(map(engines_in, self.scenarios)) / (len(self.scenarios) * self.drawn.outlook.engines)

    def share(self, pieces: Mapping[str, int]) -> float:
        """Return the share of engines that a range builds."""
        return self.valued(pieces).share.mean

    def valued(self, pieces: Mapping[str, int]) -> ValuedRange:
        """Return a range with its money and what it builds."""
        kept, key = {part: number for part, number in pieces.items() if number}, _key(pieces)
        if key not in self._shares:
            self._shares[key] = share_built(kept, self.scenarios, self.drawn.outlook.engines)
        return ValuedRange(kept, round(tied_up_cents(kept, self.drawn.keepable)), self._shares[key])

    def valued_by_rules(self, found: Range, budget_cents: int) -> list[ValuedRange]:
        """Return today's shelf and the ranges of two simple rules, valued; beside them the one found is valued, too."""
        keepable = self.drawn.keepable
        equal, commonest = equal_numbers(keepable, budget_cents), commonest_first(keepable, self.needs, budget_cents)
        return each(self.valued, [_on_hand(self.drawn), equal, commonest, found.pieces])[:3]

    def steps(
        self, amounts: Amounts, ranges: Mapping[float, Range], budget_cents: int, patience: Patience
    ) -> list[Step]:
        """Go up the ladder to the budget, and on to what the curve shows above it, as far as there is time to value."""

        def too_long(pieces: Mapping[str, int]) -> bool:
            return patience.over and _key(pieces) not in self._shares

        ladder = Ladder(self.drawn.keepable, self.needs, self.share, _on_hand(self.drawn), too_long)
        found = {amount: own.pieces for amount, own in ranges.items()}
        steps = _steps(ladder, amounts, found, budget_cents)
        # What there was no time to value says nothing.
        return [step for step in steps if step.share or step.budget_cents == budget_cents or not patience.over]

    def value_all(self, ranges: Sequence[Mapping[str, int]], executor: Executor | None, patience: Patience) -> None:
        """Let others value ranges, where there are any."""
        if executor is None:
            return
        asked = [ToValue(self.drawn, {part: number for part, number in own.items() if number}) for own in ranges]
        for one, share in zip(asked, each_by(executor, valued_away, asked, patience.given_up), strict=True):
            if share is not None:
                self._shares[frozenset(one.pieces.items())] = share


class ToValue(Struct, frozen=True):
    """A range to be valued on fresh scenarios, which whoever values it draws."""

    drawn: Drawn
    pieces: dict[str, int]


def valued_away(asked: ToValue) -> BuiltShare:
    """Value a range; this is what others call."""
    return share_built(asked.pieces, asked.drawn.scenarios(FRESH_SCENARIOS, VALUED_ON), asked.drawn.outlook.engines)


def _key(pieces: Mapping[str, int]) -> frozenset[tuple[str, int]]:
    return frozenset((part, number) for part, number in pieces.items() if number)


def _on_hand(drawn: Drawn) -> dict[str, int]:
    return {part: each.on_hand for part, each in drawn.keepable.items() if each.on_hand}


def _finder(scenarios: Sequence[Scenario], keepable: Mapping[str, Keepable], executor: Executor | None) -> RangeFinder:
    """Settle what is small at once; split what is large by families that share no part."""
    ways = sum(len(seat) for scenario in scenarios for seats in scenario for seat in seats)
    groups = split_scenarios(scenarios) if ways > MOST_WAYS_AT_ONCE else []
    return SplitFinder(groups, keepable, executor) if len(groups) > 1 else WholeFinder(scenarios, keepable, executor)


def _steps(
    ladder: Ladder, amounts: Amounts, ranges: Mapping[float, Mapping[str, int]], budget_cents: int
) -> list[Step]:
    """Go up the ladder to the budget, and on to what the curve shows above it."""
    steps = [
        ladder.near(amount, ranges[amount]) if amount >= NEAR * budget_cents else ladder.far(amount, ranges[amount])
        for amount in amounts.below
    ]
    if amounts.above is not None:
        steps.append(ladder.between(budget_cents, ranges[amounts.above], ranges[budget_cents]))
    return steps + [ladder.far(amount, ranges[amount]) for amount in amounts.far_above]


def _at(steps: Sequence[Step], budget_cents: int) -> Step:
    return next(step for step in steps if step.budget_cents == budget_cents)


def _chosen(found: Range, pieces: Mapping[str, int], scenarios: Sequence[Scenario], drawn: Drawn) -> Range:
    """Return the range that is proposed, with what it builds in the draws that ranges were found by.

    No range builds more than all engines: a search that was stopped at once knows no other bound.
    """
    kept = {part: number for part, number in pieces.items() if number}
    built = sum(built_in(kept, scenario) for scenario in scenarios)
    bound = min(found.bound, sum(map(engines_in, scenarios)))
    return Range(kept, built, tied_up_cents(kept, drawn.keepable), bound)


class HeldAgainst(Struct, frozen=True):
    """A range to be held against a batch of further scenarios: which, and how long that may take."""

    drawn: Drawn
    bound: Bound
    pieces: Mapping[str, int]
    budget_cents: float
    stream: int = FIRST_BATCH
    seconds: float = math.inf


def batch_gap(held: HeldAgainst) -> float:
    """Return a bound of the batch's best less what the range reaches there, as a share; others call this, too."""
    outlook = held.drawn.outlook
    batch = held.drawn.scenarios(outlook.scenarios, held.stream)
    bound = held.bound(batch, held.drawn.keepable, held.budget_cents, Patience.of_seconds(held.seconds))
    built = sum(built_in(held.pieces, scenario) for scenario in batch)
    return (min(bound, sum(map(engines_in, batch))) - built) / (outlook.engines * outlook.scenarios)


def _gaps(held: HeldAgainst, patience: Patience, executor: Executor | None) -> list[float]:
    """Return the gap of batch after batch, while there is time."""
    came: list[float | None] = [None] * BATCHES
    if executor is not None and not patience.over:
        seconds = patience.seconds_left / BATCHES
        asked = [replace(held, stream=FIRST_BATCH + number, seconds=seconds) for number in range(BATCHES)]
        came = each_by(executor, batch_gap, asked, patience.given_up)
    gaps: list[float] = []
    longest = 0.0
    for number, known in enumerate(came):
        if known is not None:
            gaps.append(known)
        elif patience.seconds_left > longest:
            began, seconds = time.monotonic(), patience.seconds_left / (BATCHES - number)
            gaps.append(batch_gap(replace(held, stream=FIRST_BATCH + number, seconds=seconds)))
            longest = max(longest, time.monotonic() - began)
    return gaps


def _proof(kept: Range, outlook: Outlook, gaps: Sequence[float]) -> Proof:
    engines = outlook.engines * outlook.scenarios
    return Proof(
        status=Status.PROVEN if kept.bound - kept.built < 1 else Status.BEST_FOUND,
        share=kept.built / engines,
        bound=kept.bound / engines,
        gap_limit=gap_limit(gaps),
        batches=len(gaps),
    )
