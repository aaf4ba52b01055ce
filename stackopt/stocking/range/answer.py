"""Which thicknesses to keep, how many of each: drawn, chosen, valued on fresh scenarios, held against yardsticks."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Mapping, Sequence

from msgspec import Struct

from stackopt.choose.patience import Patience
from stackopt.choose.records import Status
from stackopt.engine.records import Engine
from stackopt.parts.records import Part, Supply
from stackopt.stocking.range.gap import gap_limit
from stackopt.stocking.range.keepable import Keepable, keepable_parts, parts_of, tied_up_cents
from stackopt.stocking.range.outlook import Outlook, draw_scenarios
from stackopt.stocking.range.program import Range
from stackopt.stocking.range.records import Proof, RangeAnswer, RangePart, ValuedRange, rising
from stackopt.stocking.range.scenarios import Scenario, engines_in, split_scenarios
from stackopt.stocking.range.seats import engine_seats, nearest_pieces
from stackopt.stocking.range.split import SplitFinder
from stackopt.stocking.range.valued import built_in, share_built
from stackopt.stocking.range.whole import RangeFinder, WholeFinder
from stackopt.stocking.range.yardsticks import commonest_first, equal_numbers

# Streams of random numbers: the scenarios a range is chosen by, those it is valued on, those that decide whether what
# is left of the money is spent, and the first of the batches.
CHOSEN_BY, VALUED_ON, SCREENED_BY, FIRST_BATCH = 0, 1, 2, 3
FRESH_SCENARIOS, SCREENING_SCENARIOS = 100, 60
BATCHES = 6
# More ways to fill seats than this are split by family, where families share no part.
MOST_WAYS_AT_ONCE = 4000
CURVE = (0.25, 0.5, 0.75, 1.25, 1.5, 2.0)
# Of the time there is: for the choice, and for the batches that tell how good it is; the curve has what is left.
CHOICE_TIME, BATCHES_TIME = 0.6, 0.4


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
    """
    patience = patience or Patience()
    scenarios = drawn.scenarios(drawn.outlook.scenarios, CHOSEN_BY)
    ranges = _ranges(scenarios, drawn.keepable)
    told(f"choosing among {len(drawn.keepable)} parts by {len(scenarios)} scenarios")
    kept = ranges.find(budget_cents, Patience.of_seconds(CHOICE_TIME * patience.seconds_left))
    needs = drawn.needs()
    kept = _screened(drawn, kept, scenarios, needs, budget_cents)
    told("holding the choice against fresh scenarios")
    gaps = _gaps(drawn, ranges, kept, budget_cents, Patience.of_seconds(BATCHES_TIME * patience.seconds_left))
    told("choosing for other budgets")
    curve = ranges.curve([factor * budget_cents for factor in CURVE], patience)
    told("valuing all of it on fresh scenarios")
    fresh = drawn.scenarios(FRESH_SCENARIOS, VALUED_ON)

    def valued(pieces: Mapping[str, int]) -> ValuedRange:
        cents = round(tied_up_cents(pieces, drawn.keepable))
        return ValuedRange(pieces, cents, share_built(pieces, fresh, drawn.outlook.engines))

    return RangeAnswer(
        outlook=drawn.outlook,
        budget_cents=budget_cents,
        parts=tuple(
            RangePart(each, kept.pieces.get(part, 0), needs.get(part, 0.0)) for part, each in drawn.keepable.items()
        ),
        chosen=valued(kept.pieces),
        today=valued(_on_hand(drawn)),
        equal=valued(equal_numbers(drawn.keepable, budget_cents)),
        commonest=valued(commonest_first(drawn.keepable, needs, budget_cents)),
        curve=rising([valued(point.pieces) for point in [*curve, kept]], lambda point: point.share.mean),
        reachable=sum(map(engines_in, fresh)) / (len(fresh) * drawn.outlook.engines),
        proof=_proof(kept, drawn.outlook, gaps),
    )


def _on_hand(drawn: Drawn) -> dict[str, int]:
    return {part: each.on_hand for part, each in drawn.keepable.items() if each.on_hand}


def _ranges(scenarios: Sequence[Scenario], keepable: Mapping[str, Keepable]) -> RangeFinder:
    """Settle what is small at once; split what is large by families that share no part."""
    ways = sum(len(seat) for scenario in scenarios for seats in scenario for seat in seats)
    groups = split_scenarios(scenarios) if ways > MOST_WAYS_AT_ONCE else []
    return SplitFinder(groups, keepable) if len(groups) > 1 else WholeFinder(scenarios, keepable)


def _screened(
    drawn: Drawn, kept: Range, scenarios: Sequence[Scenario], needs: Mapping[str, float], budget_cents: int
) -> Range:
    """Return what builds most in draws of its own: the choice, the choice with the rest of the money spent, or a rule.

    A choice ties up no more than its own draws need; where there are few of them, what is left of the money still
    serves the engines that did not come up in them. Of two that build alike the cheaper is taken.
    """
    rest_cents = budget_cents - kept.cents
    candidates = [kept.pieces, commonest_first(drawn.keepable, needs, budget_cents)]
    candidates += [
        commonest_first(drawn.keepable, needs, kept.cents + part * rest_cents, kept.pieces) for part in (0.25, 0.5, 1.0)
    ]
    if tied_up_cents(_on_hand(drawn), drawn.keepable) <= budget_cents:
        candidates.append(_on_hand(drawn))
    screening = drawn.scenarios(SCREENING_SCENARIOS, SCREENED_BY)

    def worth(pieces: Mapping[str, int]) -> tuple[int, float]:
        return sum(built_in(pieces, each) for each in screening), -tied_up_cents(pieces, drawn.keepable)

    best = max(candidates, key=worth)
    built = sum(built_in(best, scenario) for scenario in scenarios)
    return Range({p: n for p, n in best.items() if n}, built, tied_up_cents(best, drawn.keepable), kept.bound)


def _gaps(drawn: Drawn, ranges: RangeFinder, kept: Range, budget_cents: int, patience: Patience) -> list[float]:
    """Return, batch by batch while there is time, a bound of the batch's best less what the range reaches there."""
    engines = drawn.outlook.engines * drawn.outlook.scenarios
    gaps: list[float] = []
    while len(gaps) < BATCHES and not patience.over:
        batch = drawn.scenarios(drawn.outlook.scenarios, FIRST_BATCH + len(gaps))
        share = Patience.of_seconds(patience.seconds_left / (BATCHES - len(gaps)))
        bound = min(ranges.bound(batch, budget_cents, share), sum(map(engines_in, batch)))
        built = sum(built_in(kept.pieces, scenario) for scenario in batch)
        gaps.append((bound - built) / engines)
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
