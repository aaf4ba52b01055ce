"""The records of a choice: what is fitted, used and ordered, what was reached and what was proven."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from concurrent.futures import Executor
from datetime import date, timedelta
from enum import StrEnum
from types import MappingProxyType

from msgspec import Struct, field

from stackopt.choose.patience import Patience
from stackopt.engine.effects.figures import Figure
from stackopt.engine.engine_records import Engine, Levers
from stackopt.engine.levers.lever import Lever
from stackopt.parts.part_records import Kind, Offer

SHELF, ON_ORDER = "shelf", "on order"
# Where a piece is that is on the engine already.
FITTED = "fitted"

# Part numbers by engine and cylinder.
Fitted = Mapping[str, Mapping[str, tuple[str, ...]]]


class Status(StrEnum):
    """How far the answer is proven."""

    PROVEN = "proven"
    BEST_FOUND = "best found"


class PassResult(Struct, frozen=True):
    """What one pass reached: value and proven bound of its objective, in its own unit, and the seconds it took."""

    objective: str
    value: float
    bound: float
    seconds: float

    @property
    def proven(self) -> bool:
        """The bound meets the value."""
        return self.bound >= self.value - 1e-6


class Piece(Struct, frozen=True):
    """One piece of a stack: its part number and the role it plays."""

    part: str
    role: Kind


class Work(Struct, frozen=True):
    """What is done to one cylinder beyond fitting parts: so much cut off its head or its deck, or put under it, mm.

    `price_cents` is None where no book states one; `shared` work goes across all cylinders at once and is paid with
    the first of them. A price `per_engine` is paid once however many cylinders are worked on: with the first of these.
    """

    lever: Lever
    amount_mm: float
    price_cents: int | None = None
    shared: bool = False
    per_engine: bool = False

    def __str__(self) -> str:
        return f"{self.lever} {self.amount_mm:.3f} mm"


class FittedCylinder(Struct, frozen=True):
    """What one cylinder gets, and what comes out: mm, ratio (None without a chamber volume), chance 0 to 1.

    The chance is None where nothing is known of it; `left_out` names what chance and spread leave out.

    `figures` are what else moves with the stack, where its inputs are known; `work` is what is done beyond gaskets.
    `sources` say of each piece where it comes from: the shelf, what is under way, another branch, the number of an
    opened kit, a supplier, or that it is fitted already; empty where nobody was asked.
    """

    cylinder: str
    pieces: tuple[Piece, ...]
    quench_mm: float
    compression_ratio: float | None
    chance_in_window: float | None
    closeness: float
    figures: tuple[Figure, ...] = ()
    work: tuple[Work, ...] = ()
    sources: tuple[str, ...] = ()
    left_out: tuple[str, ...] = ()

    @property
    def work_cents(self) -> int:
        """What the work costs, cents, where a book states it."""
        return sum(work.price_cents or 0 for work in self.work)


class FittedEngine(Struct, frozen=True):
    """What one engine gets; blocked engines have no cylinders here and their reasons in words."""

    engine: str
    cylinders: tuple[FittedCylinder, ...]
    reasons: tuple[str, ...] = ()
    wait_days: int = 0

    @property
    def blocked(self) -> bool:
        """The engine cannot be finished."""
        return not self.cylinders

    def ready_on(self, today: date) -> date | None:
        """Return the day on which the last of its pieces is here; None where it is blocked."""
        return None if self.blocked else today + timedelta(days=self.wait_days)

    def late_days(self, due: date | None, today: date) -> int | None:
        """Return by how many days it is ready after a due date, 0 where it is not; None where it is blocked."""
        ready = self.ready_on(today)
        return None if ready is None else max(0, (ready - due).days) if due else 0

    @property
    def part_numbers(self) -> tuple[str, ...]:
        """The part of every piece, cylinder after cylinder; a shared piece stands under each."""
        return tuple(piece.part for cylinder in self.cylinders for piece in cylinder.pieces)


def fitted_pieces(engines: Iterable[FittedEngine]) -> Fitted:
    """Return what engines got; those that are blocked are left out."""
    return {
        engine.engine: {each.cylinder: tuple(piece.part for piece in each.pieces) for each in engine.cylinders}
        for engine in engines
        if not engine.blocked
    }


class Use(Struct, frozen=True):
    """Pieces of one part taken from one source: the shelf, an opened kit (its number) or a supplier (its name)."""

    part: str
    source: str
    quantity: int


class Useful(Struct, frozen=True):
    """What a part is of use for beyond the engines.

    `wanted` pieces should be reordered now, so many are used in a year, and it may be `listed` in the stock list alone.
    """

    wanted: int = 0
    used_a_year: float = 0.0
    listed: bool = False

    @property
    def rank(self) -> tuple[bool, float, bool]:
        """The order of usefulness: what should be reordered now first, then by how much is used in a year."""
        return self.wanted > 0, self.used_a_year, self.listed


OF_NO_USE = Useful()
NOTHING_USEFUL: Mapping[str, Useful] = MappingProxyType({})


NO_DUE_DATES: Mapping[str, date | None] = MappingProxyType({})


class Why(StrEnum):
    """What an order line is bought for: an engine that takes its pieces, or only the sum that it adds."""

    NEEDED = "needed"
    FILLER = "filler"


class OrderLine(Struct, frozen=True):
    """One line of an order: so many packs of an offer, the engines it is for, and the packs that are for none of them.

    Such packs fill: they reach a minimum order, free freight or a lower price. A line for no engine is a filler itself.
    `useful` says what such packs are of use for.
    """

    offer: Offer
    packs: int
    engines: tuple[str, ...] = ()
    filler_packs: int = 0
    useful: Useful = OF_NO_USE

    @property
    def why(self) -> Why:
        """What the line is bought for."""
        return Why.NEEDED if self.engines else Why.FILLER

    @property
    def line_cents(self) -> int:
        """Price of the whole line, cents."""
        return self.packs * self.offer.price_cents(self.packs)


class Joining(Struct, frozen=True):
    """A later order that this one can go together with: its day, the part it is for, and what that saves at least."""

    day: date
    part: str
    saved_cents: int


class Order(Struct, frozen=True):
    """One order to one supplier, the freight paid (0 where it is waived), and an order that it can wait for."""

    supplier: str
    freight_cents: int
    lines: tuple[OrderLine, ...]
    joining: Joining | None = None

    @property
    def total_cents(self) -> int:
        """Lines and freight, cents."""
        return self.freight_cents + sum(line.line_cents for line in self.lines)

    def order_by(self, due: Mapping[str, date | None]) -> date | None:
        """Return the last day on which it can be sent so that nobody gets a piece after his due date; None: any day.

        `due` are the due dates of engines, by name.
        """
        days = (
            day - timedelta(days=line.offer.lead_days)
            for line in self.lines
            for engine in line.engines
            if (day := due.get(engine)) is not None
        )
        return min(days, default=None)


class Choice(Struct, frozen=True):
    """The answer to a plan: a choice for every engine, what it takes and what it costs, and what was proven."""

    status: Status
    passes: tuple[PassResult, ...]
    engines: tuple[FittedEngine, ...]
    use: tuple[Use, ...]
    orders: tuple[Order, ...]

    @property
    def spend_cents(self) -> int:
        """Money paid now: all lines, all freight and all work, cents."""
        work_cents = sum(cylinder.work_cents for engine in self.engines for cylinder in engine.cylinders)
        return work_cents + sum(order.total_cents for order in self.orders)

    @property
    def blocked(self) -> tuple[FittedEngine, ...]:
        """The engines that cannot be finished."""
        return tuple(engine for engine in self.engines if engine.blocked)


class Holder(Struct, frozen=True):
    """An engine outside the plan with the day it is due and the pieces that lie on the shelf for it, by part number."""

    engine: str
    due: date | None
    pieces: Mapping[str, int]


class GivingWay(Struct, frozen=True):
    """Pieces held for another engine with which an engine is ready on an earlier day, or at all.

    `spend_cents` is what is then paid for it, freight and work with it.
    """

    engine: str
    holder: str
    pieces: Mapping[str, int]
    ready_on: date
    spend_cents: int


class Request(Struct, frozen=True):
    """What is asked of a plan.

    Parameters
    ----------
    engines
        The open engines.
    today
        Arrival of an order is today plus its lead days.
    prefer
        Objectives in the order they count; those of the default order that are left out follow.
    patience
        How long to go on, over all passes; unless it is limited, until everything is proven.
    previous
        What a previous plan fitted: kept where that costs nothing.
    executor
        Who solves groups of engines that share no part; None for this process.
    """

    engines: tuple[Engine, ...]
    today: date
    prefer: tuple[str, ...] = ()
    patience: Patience = field(default_factory=Patience)
    previous: Fitted = field(default_factory=dict)
    executor: Executor | None = None

    @property
    def levers(self) -> bool:
        """Some engine allows more than gaskets."""
        return any(engine.levers != Levers() for engine in self.engines)
