"""The shop's branches as the ledger lists them, and the days that pieces take from one to another.

In the entries the main branch is the empty text: a shop that never names a branch has one all the same, and what lay
there before it named one lies in its main branch. Any other is called by the name that it had first, whatever its name
is by now. Names are for people; `code` and `name` lead from one to the other.
"""

from __future__ import annotations

from collections.abc import Mapping
from shlex import quote

from msgspec import Struct, field

from stackopt.shop.database.faults import refuse
from stackopt.shop.database.snapshot import Snapshot, current_rows

MAIN = ""


class Branches(Struct, frozen=True):
    """The branches of a shop.

    Parameters
    ----------
    main
        The name of the main branch; empty where the shop names none.
    others
        The names of the others, in the order in which they were named.
    days
        How many days a transfer takes, by the codes of both ends.
    first_names
        What entries call a branch, by its name, where that is another.
    """

    main: str = ""
    others: tuple[str, ...] = ()
    days: Mapping[tuple[str, str], int] = field(default_factory=dict)
    first_names: Mapping[str, str] = field(default_factory=dict)

    @property
    def names(self) -> tuple[str, ...]:
        """All names, the main branch's first; none where the shop names none."""
        return (self.main, *self.others) if self.main else ()

    @property
    def codes(self) -> tuple[str, ...]:
        """What entries call each branch, the main one first."""
        return (MAIN, *map(self._code, self.others))

    def _code(self, other: str) -> str:
        return self.first_names.get(other, other)

    def code(self, name: str) -> str:
        """Return what entries call the branch of this name; the empty text stands for the main branch.

        Raises
        ------
        InputError
            When the shop has no such branch.
        """
        if not name or name == self.main:
            return MAIN
        if name in self.others:
            return self._code(name)
        mend = "Nothing was stored. `stackopt shop branches` lists them."
        if not self.main:
            mend = (
                "The shop has named none yet: stackopt shop branch NAME, first for the place where all lies now, "
                f"then stackopt shop branch {quote(name)}."
            )
        raise refuse("", name, f"a branch of the shop: {', '.join(self.names) or 'none is named'}", mend)

    def days_between(self, origin: str, destination: str) -> int | None:
        """Return how many days a transfer takes, by the codes of both ends; None where nobody has said it."""
        return 0 if origin == destination else self.days.get((origin, destination))

    def name(self, code: str) -> str:
        """Return the name of a branch for people."""
        return next((name for name in self.others if self._code(name) == code), code) if code else self.main

    def at(self, code: str) -> str:
        """Return `` at Nordkai`` for people; empty where the shop names no branch."""
        return f" at {self.name(code)}" if self.main else ""


def read_branches(snapshot: Snapshot) -> Branches:
    """Return the shop's branches."""
    rows = current_rows(snapshot, "branch", ("name", "main", "code"))
    if not rows:
        return Branches()
    days = current_rows(snapshot, "transfer_days", ("origin", "destination", "days"))
    return Branches(
        next((row.name for row in rows if row.main), ""),
        tuple(row.name for row in rows if not row.main),
        {(row.origin, row.destination): row.days for row in days},
        {row.name: row.code for row in rows if row.code and not row.main},
    )
