"""The shop's ledger in place of books: what `fit` and `plan` read without --book, and what --hold holds in."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from stackopt.choose.records import Choice, Request
from stackopt.engine.records import Engine
from stackopt.parts.records import Part, Supply
from stackopt.problems import InputError, Place, Problem
from stackopt.shop.note import Note

if TYPE_CHECKING:
    from stackopt.shop.ledger import Ledger


@dataclass
class LedgerSource:
    """A ledger as a source of parts for engines; `asking` are those whose own held pieces count as free."""

    ledger: Ledger
    asking: list[str] = field(default_factory=list)

    def engines(self) -> tuple[Engine, ...]:
        """Return the engines that still have to be planned."""
        return self.ledger.engines()

    def engine(self, name: str) -> Engine:
        """Return one engine of the ledger."""
        return self.ledger.engine(name)

    @property
    def parts(self) -> Mapping[str, Part]:
        """All parts, by number."""
        return self.ledger.supply().parts

    def supply_for(self, families: Collection[str]) -> Supply:
        """Return what can be fitted on and bought for engines of these families."""
        return self.ledger.supply(families, self.asking)

    def hold(self, request: Request, choice: Choice, note: Note) -> str:
        """Hold all pieces of a choice, or none; return in words what was held and drafted.

        Raises
        ------
        InputError
            When pieces are not free any more; names who has them.
        """
        held = self.ledger.hold_all(request, choice, note)
        names = ", ".join(engine.engine for engine in choice.engines if not engine.blocked)
        drafts = "".join(f" Order {number} is drafted: stackopt shop send {number}." for number in held.orders)
        return f"Held for {names}, as event {held.event}.{drafts}"


def open_ledger_source(ledger: str) -> LedgerSource:
    """Open the ledger.

    Raises
    ------
    InputError
        When there is none, or it cannot be read.
    """
    # SQL is not for those who name books: it takes longer to import than a single engine to solve.
    from stackopt.shop.ledger import ledger_is_there, open_ledger  # noqa: PLC0415

    if not ledger_is_there(ledger):
        mend = "Name the shop's lists, each with --book FILE; or make a ledger of them, stackopt shop load BOOK."
        raise InputError(Problem(Place(ledger), "", "the shop's ledger, or at least one book", mend))
    return LedgerSource(open_ledger(ledger))
