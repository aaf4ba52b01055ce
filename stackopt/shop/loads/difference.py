"""One thing that a book says otherwise than the ledger, and what is stored for it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from msgspec import Struct
from sqlalchemy import Table

from stackopt.shop.database.tables import engine, stock_sheet, usage
from stackopt.shop.database.transactions import Movement
from stackopt.shop.loads import wording
from stackopt.shop.loads.under_way import OnItsWay

Fact = dict[str, Any]
# Where a list says something is not what it says: the same list read from another file is the same list.
NOT_COMPARED = frozenset({"written_at"})


class Difference(Struct, frozen=True):
    """One thing that a book says otherwise than the ledger.

    Parameters
    ----------
    subject
        What it is about: shelf, or the name of the table that it changes.
    name
        Its name; of an offer, supplier and part.
    part
        The part number by which it is accepted alone; empty for suppliers, services and engines.
    before, after
        The facts that differ, as the ledger has them and as the book has them; `before` is empty for what is new,
        `after` for what is no longer listed.
    loses
        Of the shelf: who loses held pieces by it, in words; empty where nobody does.
    moved
        Of the shelf: what moved since the list was loaded last, where it says the same as then; else empty. Such a
        difference is an older list: it is stored only where that is accepted by name.
    place
        Of the shelf: at which branch, in words; empty where the shop names none.
    stands
        Of what is told: whose other word stands; else empty. Such a difference, too, is stored only by name.
    """

    subject: str
    name: str
    part: str
    before: Mapping[str, Any]
    after: Mapping[str, Any]
    loses: str = ""
    moved: str = ""
    stands: str = ""
    place: str = ""

    @property
    def is_older(self) -> bool:
        """The ledger's word goes first: it is stored only where that is accepted by name."""
        return bool(self.moved or self.stands)

    @property
    def called(self) -> str:
        """By what name it is accepted alone; empty for what cannot be."""
        return self.part or (self.name if self.subject == engine.name else "")

    @property
    def key(self) -> tuple[Any, ...]:
        """What makes two differences the same: the subject, the facts before and after, and who loses by it."""
        facts = (tuple(sorted(each.items())) for each in (self.before, self.after))
        return (self.subject, self.name, self.part, *facts, self.loses, self.place)

    def __str__(self) -> str:
        about = f"{wording.subject_of(self.subject)} {self.name}{self.place}"
        if self.subject == stock_sheet.name:
            return f"{about}: {wording.titles_of(self.after['columns'])}"
        if self.subject == usage.name:
            since = f"; {self.stands}" if self.stands else ""
            return f"{about}: {wording.usage_words(self.before, self.after)}{since}"
        if not self.before:
            return f"{about}: new"
        if not self.after:
            return f"{about}: no longer listed"
        since = f"; since this count was loaded: {self.moved}" if self.moved else ""
        since = f"; {self.stands}" if self.stands else since
        loses = f"; {self.loses}" if self.loses else ""
        return f"{about}: {wording.changed(self.before, self.after)}{loses}{since}"


class LoadChange(Struct, frozen=True):
    """A difference with what is stored for it: rows of a table, movements, or what is under way."""

    difference: Difference
    table: Table | None = None
    rows: Sequence[Fact] = ()
    movements: Sequence[Movement] = ()
    coming: Sequence[OnItsWay] = ()
