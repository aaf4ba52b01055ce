"""The records of a kept range: what is kept of each part, what it builds, and how sure that is."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from typing import Protocol, TypeVar

from msgspec import Struct

from stackopt.choose.choice_records import Status
from stackopt.stocking.range.keepable import Keepable
from stackopt.stocking.range.outlook import Outlook


class BuiltShare(Struct, frozen=True):
    """The share of engines to come that are built from the shelf, 0 to 1, with the ends of its 95 % interval.

    Over scenarios that no range was chosen by.
    """

    mean: float
    low: float
    high: float

    @property
    def half_width(self) -> float:
        """Half of the interval's width."""
        return (self.high - self.low) / 2


class ValuedRange(Struct, frozen=True):
    """Pieces kept by part number, the money they tie up (whole cents), and the share of engines built from them."""

    pieces: Mapping[str, int]
    cents: int
    share: BuiltShare


class RangePart(Struct, frozen=True):
    """What is proposed for one part.

    `keep` pieces in all: what is on the shelf less `sell_off`, and `packs` bought on top. `asked` is how many pieces an
    average scenario takes where every cylinder gets the stack nearest its aims.
    """

    keepable: Keepable
    keep: int
    asked: float

    @property
    def packs(self) -> int:
        """Packs to buy."""
        return self.keepable.packs_for(self.keep)

    @property
    def sell_off(self) -> int:
        """Pieces on the shelf that are not worth their money there."""
        return max(0, self.keepable.on_hand - self.keep)

    @property
    def buy_cents(self) -> int:
        """What the packs cost, cents."""
        return round(self.packs * self.keepable.pack * self.keepable.piece_cents)


class Proof(Struct, frozen=True):
    """How near the best a range is.

    Parameters
    ----------
    status
        Proven on the scenarios it was chosen by, or best found.
    share, bound
        Engines built in those scenarios, and what no range for the money passes there, as shares.
    gap_limit
        With a confidence of 95 %, the best range there is builds at most this much more of all engines to come, as a
        share; None where no time was left to tell.
    batches
        On how many further sets of scenarios that rests.
    """

    status: Status
    share: float
    bound: float
    gap_limit: float | None
    batches: int


class RangeAnswer(Struct, frozen=True):
    """The answer to which thicknesses to keep.

    Parameters
    ----------
    outlook
        The engines to come, as they were drawn.
    budget_cents
        The most money that may be tied up.
    parts
        A line for every part that was looked at.
    chosen, today
        The range to keep, and the shelf as it stands.
    equal, commonest
        Two simple rules for the same money: equal numbers of every thickness, and the commonest needs first.
    curve
        The best ranges for several budgets, by money.
    reachable
        Share of engines that all the parts together could build, whatever they cost.
    proof
        How near the best the range is.
    """

    outlook: Outlook
    budget_cents: int
    parts: tuple[RangePart, ...]
    chosen: ValuedRange
    today: ValuedRange
    equal: ValuedRange
    commonest: ValuedRange
    curve: tuple[ValuedRange, ...]
    reachable: float
    proof: Proof

    @property
    def more_per_cent_spent(self) -> float | None:
        """Share of engines that a further cent would bring, by the next dearer point of the curve; None at its end."""
        dearer = [point for point in self.curve if point.cents > self.chosen.cents]
        if not dearer:
            return None
        return (dearer[0].share.mean - self.chosen.share.mean) / (dearer[0].cents - self.chosen.cents)


class Costly(Protocol):
    """Something that ties up money, cents."""

    @property
    def cents(self) -> float:
        """The money, cents."""


AnyCostly = TypeVar("AnyCostly", bound=Costly)


def rising(points: Iterable[AnyCostly], worth: Callable[[AnyCostly], float]) -> tuple[AnyCostly, ...]:
    """Return points by money, leaving out those that are worth no more than one as cheap or cheaper."""
    rising: list[AnyCostly] = []
    for point in sorted(points, key=lambda each: (each.cents, -worth(each))):
        if not rising or worth(point) > worth(rising[-1]):
            rising.append(point)
    return tuple(rising)
