"""What a stock list says of the bins in which parts lie, against the ledger.

A list that has a part in several rows says how many lie in which bin; one that has it in one row says nothing of that.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Collection, Iterator, Mapping
from itertools import groupby

from msgspec import Struct
from sqlalchemy import Connection, select

from stackopt.parts.part_records import InBin, StockLine
from stackopt.shop.database.acts import EFFECTS, Act
from stackopt.shop.database.bins import USUAL, read_bin_sums
from stackopt.shop.database.tables import movement
from stackopt.shop.database.transactions import CoreSnapshot, Movement
from stackopt.shop.entries.balances import of_parts
from stackopt.shop.entries.bins import bins_of, read_bins
from stackopt.shop.standing.voided import void_events


class BinsTold(Struct, frozen=True):
    """In which bins parts of a branch lie, the names of the lists for them, and how they lay before, in words."""

    branch: str
    lying: Mapping[str, Mapping[str, int]]
    usual: Mapping[str, str]
    before: Mapping[str, Collection[str]]

    def words(self, line: StockLine, on_hand: int) -> str:
        """Return in which bins a part lies by the ledger, in words; of one that lies in one, nothing is said."""
        lying = self.lying.get(line.part, {USUAL: on_hand})
        return _words(bins_of(self.usual.get(line.part, ""), lying)) if line.bins else ""

    def movements(self, line: StockLine) -> Iterator[Movement]:
        """Yield what brings the bins to what a line says, whatever all of them together hold."""
        if not line.bins:
            return
        told = told_bins(line)
        before = self.lying.get(line.part, {})
        for code in sorted({*told, *before} - {USUAL}):
            if more := told.get(code, 0) - before.get(code, 0):
                yield Movement(line.part, Act.COUNTED, more, branch=self.branch, bin=code)
                yield Movement(line.part, Act.COUNTED, -more, branch=self.branch)

    def never_lay_so(self, line: StockLine) -> bool:
        """Tell that the pieces never lay in the bins that a line says: such a list is no older one."""
        return bool(line.bins) and line.part in self.before and said(line) not in self.before[line.part]

    def carried_since(self, line: StockLine, told: str, now: str) -> str:
        """Return, in words, that pieces were carried elsewhere since they lay in the bins that this line says."""
        is_older = told and told != now and told in self.before.get(line.part, ())
        return f"carried between bins, {now} by now" if is_older else ""


def told_bins(line: StockLine) -> dict[str, int]:
    """Return what a line says of its bins, as entries call them: its first is the one that the list names."""
    first, *others = line.bins
    told = {USUAL: first.on_hand}
    for each in others:
        code = USUAL if each.bin == first.bin else each.bin
        told[code] = told.get(code, 0) + each.on_hand
    return told


def said(line: StockLine) -> str:
    """Return in which bins pieces lie by a line, in words."""
    return _words(bins_of(line.bins[0].bin, told_bins(line))) if line.bins else ""


def _words(bins: tuple[InBin, ...]) -> str:
    return ", ".join(map(str, sorted(bins, key=lambda each: each.bin)))


def read_bins_told(connection: Connection, stock: Mapping[str, StockLine], branch: str) -> BinsTold:
    """Read in which bins the parts of a branch lie that its list has in several rows."""
    snapshot = CoreSnapshot(connection)
    parts = {number for number, line in stock.items() if line.bins}
    if not parts:
        return BinsTold(branch, {}, {}, {})
    here = {part: found for (part, where), found in read_bin_sums(snapshot, parts).items() if where == branch}
    usual = {part: name for (part, where), name in read_bins(snapshot, parts).items() if where == branch}
    return BinsTold(branch, here, usual, _before(connection, parts, branch, usual))


def _before(
    connection: Connection, parts: Collection[str], branch: str, usual: Mapping[str, str]
) -> dict[str, set[str]]:
    """Return, in words, in which bins each part ever lay after a command that still stands, where any was named."""
    void = void_events(connection)
    c = movement.c
    query = select(c.part, c.event, c.act, c.bin, c.quantity).where(of_parts(parts), c.branch == branch)
    found: dict[str, set[str]] = {}
    in_bins: set[str] = set()
    for part, of_part in groupby(connection.execute(query.order_by(c.part, c.id)), key=lambda row: row.part):
        lying: Counter[str] = Counter()
        for number, rows in groupby(of_part, key=lambda row: row.event):
            for row in rows:
                in_bins.update({part} if row.bin else ())
                lying[row.bin] += EFFECTS[Act(row.act)].on_hand * row.quantity
            if part in parts and number not in void:
                found.setdefault(part, set()).add(_words(bins_of(usual.get(part, ""), lying)))
    return {part: words for part, words in found.items() if part in in_bins}
