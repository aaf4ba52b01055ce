"""What a movement can be, and what it does to the sums."""

from __future__ import annotations

from enum import StrEnum

from msgspec import Struct


class Act(StrEnum):
    """One kind of movement. A counter-movement is the same act with the opposite quantity."""

    COUNTED = "counted"  # the difference that a count found
    CORRECTED = "corrected"
    OPENED = "opened"  # a kit taken apart: the kit goes, its parts come
    RECEIVED = "received"
    RETURNED = "returned"  # from an engine back to the shelf
    SCRAPPED = "scrapped"
    MOVED = "moved"  # from one bin to another of the same branch
    HELD = "held"
    RELEASED = "released"
    USED = "used"
    ORDERED = "ordered"
    ARRIVED = "arrived"  # taken off what is on order; what it yields is received
    CANCELLED = "cancelled"
    TRANSFERRED = "transferred"  # off the shelf of one branch, and on its way to another
    PROMISED = "promised"  # to an engine, from an order on its way
    FULFILLED = "fulfilled"  # the promised piece is here and held
    WAIVED = "waived"


class Balance(Struct, frozen=True):
    """Sums over movements, in pieces: on the shelf, held for engines, on order, promised from orders, in an engine."""

    on_hand: int = 0
    held: int = 0
    on_order: int = 0
    promised: int = 0
    fitted: int = 0

    @property
    def free(self) -> int:
        """Pieces on the shelf that nobody was promised."""
        return self.on_hand - self.held

    def plus(self, other: Balance) -> Balance:
        """Return the sums over what both sum."""
        return Balance(*(getattr(self, name) + getattr(other, name) for name in MEASURES))


MEASURES = Balance.__struct_fields__

# What one piece of each act adds to the sums.
EFFECTS: dict[Act, Balance] = {
    Act.COUNTED: Balance(on_hand=1),
    Act.CORRECTED: Balance(on_hand=1),
    Act.OPENED: Balance(on_hand=1),
    Act.RECEIVED: Balance(on_hand=1),
    Act.RETURNED: Balance(on_hand=1, fitted=-1),
    Act.SCRAPPED: Balance(on_hand=-1),
    Act.MOVED: Balance(on_hand=1),
    Act.HELD: Balance(held=1),
    Act.RELEASED: Balance(held=-1),
    Act.USED: Balance(on_hand=-1, held=-1, fitted=1),
    Act.ORDERED: Balance(on_order=1),
    Act.ARRIVED: Balance(on_order=-1),
    Act.CANCELLED: Balance(on_order=-1),
    Act.TRANSFERRED: Balance(on_hand=-1, on_order=1),
    Act.PROMISED: Balance(promised=1),
    Act.FULFILLED: Balance(held=1, promised=-1),
    Act.WAIVED: Balance(promised=-1),
}


def total_sentence(measure: str) -> str:
    """Return the sum of one measure of `Balance` over movements as an expression of SQL."""
    signs = ((act.value, getattr(effect, measure)) for act, effect in EFFECTS.items())
    cases = " ".join(f"WHEN '{act}' THEN {sign}" for act, sign in signs if sign)
    return f"SUM(CASE act {cases} ELSE 0 END * quantity)"
