"""A kept range, laid out by hand. All invented."""

from __future__ import annotations

from stackopt.choose.choice_records import Status
from stackopt.parts.part_records import Kind
from stackopt.stocking.range.keepable import Keepable
from stackopt.stocking.range.outlook import Deck, FamilyToCome, Outlook
from stackopt.stocking.range.range_records import BuiltShare, Proof, RangeAnswer, RangePart, ValuedRange
from tests.report import answers


def valued(cents: int, mean: float) -> ValuedRange:
    """Return a range that ties up so much and builds so much, ± 2.5 points."""
    return ValuedRange({}, cents, BuiltShare(mean, mean - 0.025, mean + 0.025))


# B40 is filled up by packs of 2; of the H60 that lie here one is too many; H32 is kept at what lies here.
BOUGHT = RangePart(Keepable("B40", Kind.BASE_GASKET, 3, 450.0, pack=2, supplier="North"), 7, 6.25)
IDLE = RangePart(Keepable("H60", Kind.HEAD_GASKET, 4, 1640.0), 0, 0.4)
LEFT = RangePart(Keepable("H32", Kind.HEAD_GASKET, 2, 1900.0, pack=1, supplier="South"), 2, 1.96)
CHOSEN = valued(6950, 0.80)
TODAY = valued(9000, 0.65)
ANSWER = RangeAnswer(
    outlook=Outlook(
        (
            FamilyToCome("A", 3, (answers.ENGINE, answers.ENGINE), Deck(-0.3, 0.04)),
            FamilyToCome("C", 1, (answers.ENGINE,)),
        ),
        engines=12,
        scenarios=40,
        seed=7,
    ),
    budget_cents=10000,
    parts=(BOUGHT, IDLE, LEFT),
    chosen=CHOSEN,
    today=TODAY,
    equal=valued(9900, 0.79),
    commonest=valued(9950, 0.80),
    curve=(valued(5000, 0.7), CHOSEN, valued(11950, 0.9)),
    reachable=0.95,
    proof=Proof(Status.PROVEN, 0.82, 0.82, None, 0),
)
