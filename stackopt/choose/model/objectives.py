"""What can be made least, one class each, and the order in which they count.

A new objective is one class here, an entry in `OBJECTIVES`, and one test.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence
from typing import ClassVar

from msgspec import Struct, field

from stackopt.choose.choice_records import Fitted
from stackopt.choose.model.objective import Objective, ObjectiveKind, Words
from stackopt.choose.model.program import Program
from stackopt.choose.model.purchase import NO_SUPPLIERS, NOTHING_BESIDE, BesideTheShelf, ModelRequest, Terms
from stackopt.problems import InputError, Place, Problem


class Blocked:
    """Engines that cannot be finished, by priority."""

    name = "blocked"
    step = 1.0
    kind = ObjectiveKind.COUNT
    words = Words(
        "engines blocked, by priority",
        "it cannot be fewer",
        "blocks {} more",
        "blocks {} fewer",
    )

    def terms(self, program: Program) -> Terms:
        """Return Σ priority · blocked."""
        return [(columns.blocked, columns.job.engine.priority) for columns in program.jobs]


class SpecialOrders:
    """Purchase lines that a supplier makes or fetches on request."""

    name = "special-orders"
    step = 1.0
    kind = ObjectiveKind.COUNT
    words = Words(
        "special orders",
        "it cannot be fewer",
        "special orders: {} more",
        "special orders: {} fewer",
    )

    def terms(self, program: Program) -> Terms:
        """Return the number of lines so flagged."""
        return program.purchases.special_order_terms()


class Orders:
    """Suppliers ordered from."""

    name = "orders"
    step = 1.0
    kind = ObjectiveKind.COUNT
    words = Words(
        "suppliers ordered from",
        "it cannot be fewer",
        "suppliers: {} more",
        "suppliers: {} fewer",
    )

    def terms(self, program: Program) -> Terms:
        """Return the number of orders."""
        return program.purchases.order_terms()


class Spend:
    """Money paid now, cents: lines, freight and work."""

    name = "spend"
    step = 1.0
    kind = ObjectiveKind.CENTS
    words = Words(
        "money paid now",
        "nothing else costs less",
        "costs {} more",
        "costs {} less",
    )

    def terms(self, program: Program) -> Terms:
        """Return lines, freight and work."""
        work: Terms = [
            (fitted, stack.work_cents)
            for columns in program.jobs
            for stack, fitted in columns.stacks_with_columns()
            if stack.work_cents
        ]
        return program.purchases.spend_terms() + work + program.engine_work_terms()


class Wait:
    """Days until the last part of an engine is here, summed over engines."""

    name = "wait"
    step = 1.0
    kind = ObjectiveKind.DAYS
    words = Words(
        "waiting",
        "nothing else is here sooner",
        "is here {} later",
        "is here {} sooner",
    )

    def terms(self, program: Program) -> Terms:
        """Return Σ days waited."""
        return [term for waiting in program.waits.values() for term in waiting.terms()]


class Closeness:
    """Distance from the aims, in half-widths of the windows, summed over cylinders."""

    name = "closeness"
    step = 1e-6
    kind = ObjectiveKind.HALF_WIDTHS
    words = Words(
        "distance from the aims *",
        "nothing else is closer",
        "{} further off *",
        "{} closer *",
    )

    def terms(self, program: Program) -> Terms:
        """Return Σ closeness of the stacks fitted."""
        return [
            (fitted, stack.closeness) for columns in program.jobs for stack, fitted in columns.stacks_with_columns()
        ]


class Chance:
    """Chance that a cylinder misses its window, summed over cylinders: what makes it least lands most surely."""

    name = "chance"
    step = 1e-6
    kind = ObjectiveKind.CHANCE
    words = Words(
        "chance to miss a window, summed",
        "nothing else lands more surely",
        "{} more chance to miss",
        "{} less chance to miss",
    )

    def terms(self, program: Program) -> Terms:
        """Return Σ (1 − chance) of the stacks fitted."""
        return [
            (fitted, 1 - stack.chance)
            for columns in program.jobs
            for stack, fitted in columns.stacks_with_columns()
            if stack.chance < 1
        ]


class Metal:
    """What is cut off heads and decks, mm, summed over cylinders: metal does not grow back."""

    name = "metal"
    step = 1e-6
    kind = ObjectiveKind.MILLIMETRES
    words = Words(
        "metal cut off",
        "nothing else cuts less",
        "cuts {} more",
        "cuts {} less",
    )

    def terms(self, program: Program) -> Terms:
        """Return Σ metal of the stacks fitted."""
        return [
            (fitted, stack.metal_mm)
            for columns in program.jobs
            for stack, fitted in columns.stacks_with_columns()
            if stack.work
        ]


class Changes(Struct, frozen=True):
    """Pieces that differ from those of a previous plan, so that the bench is not told something new every morning.

    Engines that the previous plan did not finish count for nothing. One that it did and that is blocked now counts with
    all its pieces.
    """

    previous: Fitted = field(default_factory=dict)
    name: ClassVar[str] = "changes"
    step: ClassVar[float] = 1.0
    kind: ClassVar[ObjectiveKind] = ObjectiveKind.COUNT
    words: ClassVar[Words] = Words(
        "pieces other than in the previous plan",
        "nothing else keeps more",
        "{} more pieces changed",
        "{} fewer pieces changed",
    )

    def terms(self, program: Program) -> Terms:
        """Return Σ pieces of the stacks fitted that were not there, a shared piece once."""
        terms: Terms = []
        for columns in program.jobs:
            before = self.previous.get(columns.job.engine.name)
            if before is None:
                continue
            for seat, cylinder in enumerate(columns.job.engine.cylinders):
                had = Counter(before.get(cylinder.name, ()))
                for stack, fitted in zip(columns.job.stacks[seat], columns.fit[seat], strict=True):
                    now = Counter(piece.part for piece in stack.pieces if seat == 0 or piece.part not in stack.shared)
                    terms.append((fitted, (now - had).total()))
            terms.append((columns.blocked, sum(map(len, before.values()))))
        return [(column, pieces) for column, pieces in terms if pieces]


class ShelfValue:
    """Book value of the pieces and kits taken: from the shelf, and from what is on order for it; cents."""

    name = "shelf-value"
    step = 1.0
    kind = ObjectiveKind.CENTS
    words = Words(
        "value taken from the shelf",
        "nothing else takes less",
        "takes {} more off the shelf",
        "takes {} less off the shelf",
    )

    def terms(self, program: Program) -> Terms:
        """Return Σ unit cost · taken, opened kits whole; a piece under way costs what one on the shelf does."""
        taken = [*program.taken.items(), *program.opened.items()]
        taken += [(part, each.taken) for part, own in program.purchases.coming.items() for each in own]
        costs = ((column, program.supply.unit_cost_cents(part)) for part, column in taken)
        return [(column, cost_cents) for column, cost_cents in costs if cost_cents]


FIRST: Objective = Blocked()
DEFAULT: tuple[Objective, ...] = (SpecialOrders(), Spend(), Closeness(), ShelfValue())
METAL: Objective = Metal()
OBJECTIVES: dict[str, Objective] = {
    each.name: each for each in (*DEFAULT, Orders(), Wait(), Chance(), METAL, Changes())
}


ALL: dict[str, Objective] = {FIRST.name: FIRST, **OBJECTIVES}


def asked_by(
    objectives: Sequence[Objective],
    settled: Mapping[str, int] = NO_SUPPLIERS,
    beside: BesideTheShelf = NOTHING_BESIDE,
) -> ModelRequest:
    """Return what a model must tell for these objectives, with some suppliers settled outside it."""
    return ModelRequest(settled, any(objective.name == "wait" for objective in objectives), beside)


def in_order(prefer: Sequence[str], levers: bool = False, previous: Fitted | None = None) -> tuple[Objective, ...]:
    """Return all objectives in the order they count: blocked, those named, then the rest of the default order.

    Where an engine allows more than gaskets (`levers`), metal counts after closeness: among equals, the smaller cut.
    Where there is a previous plan, changes to it count before the value of what leaves the shelf.

    Raises
    ------
    InputError
        When a name is not known, or named twice.
    """
    known = ", ".join(OBJECTIVES)
    for position, name in enumerate(prefer):
        if name not in OBJECTIVES or name in prefer[:position]:
            raise InputError(Problem(Place(item="--prefer"), name, f"some of {known}, each at most once"))
    changes = Changes(previous or {})
    named = tuple(changes if name == changes.name else OBJECTIVES[name] for name in prefer)
    usual = (*DEFAULT[:-1], *([METAL] if levers else []), *([changes] if previous else []), DEFAULT[-1])
    return (FIRST, *named, *(each for each in usual if each not in named))
