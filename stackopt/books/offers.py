"""Price lists: every row checked by column, records made only of the rows that are asked for."""

from __future__ import annotations

import math
from collections.abc import Collection, Iterator, Sequence
from dataclasses import dataclass, field

from stackopt.books import cells
from stackopt.books.columns import Reader
from stackopt.books.describe import read_facts
from stackopt.books.marks import decimal_mark
from stackopt.books.tables import Table
from stackopt.parts.records import Offer, PriceTier
from stackopt.problems import Problem

FIRST_TIER = 1


@dataclass
class OfferLines:
    """One price list by column; `refused` holds the positions of rows that cannot be used.

    `tiers` are the price breaks beyond the first price: columns of (from how many packs, price in cents).
    `facts` is what each row says about its part, empty where the list describes none.
    """

    table: Table
    supplier: Sequence[str | None]
    part: Sequence[str | None]
    supplier_part: Sequence[str | None]
    price_cents: Sequence[int | None]
    pack: Sequence[int]
    minimum_packs: Sequence[int]
    lead_days: Sequence[int]
    special_order: Sequence[bool | None]
    discontinued: Sequence[bool | None]
    superseded_by: Sequence[str | None]
    tiers: Sequence[tuple[Sequence[int | None], Sequence[int | None]]]
    facts: Sequence[tuple[object, ...]]
    problems: list[Problem]
    refused: set[int]
    notes: list[str] = field(default_factory=list)

    def offers(self, numbers: Collection[str]) -> Iterator[Offer]:
        """Yield the offers of the parts asked for, in the list's order."""
        for position, number in enumerate(self.part):
            if number in numbers and position not in self.refused:
                yield self._offer(position)

    def _offer(self, position: int) -> Offer:
        return Offer(
            supplier=self.supplier[position] or "",
            part=self.part[position] or "",
            tiers=self._tiers(position),
            supplier_part=self.supplier_part[position] or "",
            pack=self.pack[position],
            minimum_packs=self.minimum_packs[position],
            lead_days=self.lead_days[position],
            special_order=bool(self.special_order[position]),
            discontinued=bool(self.discontinued[position]),
            superseded_by=self.superseded_by[position] or "",
            written_at=str(self.table.sheet.row_place(self.table.rows[position])),
        )

    def _tiers(self, position: int) -> tuple[PriceTier, ...]:
        first = PriceTier(FIRST_TIER, self.price_cents[position] or 0)
        breaks = ((starts[position], prices[position]) for starts, prices in self.tiers)
        return (first, *(PriceTier(start, price) for start, price in breaks if start is not None and price is not None))


def read_offers(table: Table) -> OfferLines:
    """Read a price list, column by column."""
    reader = Reader(table)
    mark = decimal_mark(table)
    notes: list[str] = []
    supplier = reader.column("supplier", cells.text)
    part = reader.column("part number", cells.part_number)
    supplier_part = reader.column("supplier part number", cells.part_number)
    pack = _with_default(reader.column("pack", cells.count(1, mark)), 1)
    price = _price_per_pack(reader, pack, mark, notes)
    reader.need("supplier", supplier, "the supplier's name")
    reader.need("part number", part, "a part number")
    reader.need("price" if reader.has("price") else "price each", price, "a price")
    if not reader.has("lead days"):
        notes.append(f"{table.sheet.whole_place}: no lead times are said; 0 days taken")
    lines = OfferLines(
        table,
        supplier,
        part,
        supplier_part,
        price,
        pack,
        _minimum_packs(reader, pack, mark),
        _with_default(reader.column("lead days", cells.days(table.units.get("lead days", ""), mark)), 0),
        reader.column("special order", cells.yes_or_no),
        reader.column("discontinued", cells.yes_or_no),
        reader.column("superseded by", cells.part_number),
        _price_breaks(reader, mark),
        read_facts(reader, mark),
        reader.problems,
        reader.refused,
        notes,
    )
    _merge_duplicates(reader, lines)
    return lines


def _with_default(values: Sequence[int | None], default: int) -> list[int]:
    return [default if value is None else value for value in values]


def _price_per_pack(reader: Reader, pack: Sequence[int], mark: str, notes: list[str]) -> Sequence[int | None]:
    """Return the price of one pack: as listed, or pieces times the price of one where only that is listed."""
    if reader.has("price"):
        return reader.column("price", cells.money(mark))
    each = reader.column("price each", cells.money(mark))
    if reader.has("pack"):
        notes.append(f"{reader.table.sheet.whole_place}: prices are for one piece; a pack costs pieces times that")
    return [None if price is None else price * pieces for price, pieces in zip(each, pack, strict=True)]


def _minimum_packs(reader: Reader, pack: Sequence[int], mark: str) -> list[int]:
    packs = _with_default(reader.column("minimum packs", cells.count(1, mark)), 1)
    if not reader.has("minimum quantity"):
        return packs
    pieces = _with_default(reader.column("minimum quantity", cells.count(1, mark)), 1)
    return [max(least, math.ceil(p / size)) for least, p, size in zip(packs, pieces, pack, strict=True)]


def _price_breaks(reader: Reader, mark: str) -> list[tuple[Sequence[int | None], Sequence[int | None]]]:
    """Read the pairs of columns ``packs from N`` and ``price N``; breaks must rise in packs."""
    numbers = sorted(int(name.split()[-1]) for name in reader.table.cells if name.startswith("packs from "))
    breaks = []
    last_start = [FIRST_TIER] * len(reader.table.rows)
    for number in numbers:
        start_name, price_name = f"packs from {number}", f"price {number}"
        starts = reader.column(start_name, cells.count(1, mark))
        prices = reader.column(price_name, cells.money(mark))
        for position, (start, price, below) in enumerate(zip(starts, prices, last_start, strict=True)):
            if (start is None and price is None) or position in reader.refused:
                continue
            if start is None:
                reader.blame(position, start_name, "", f"how many packs {price_name} starts from", "Fill the cell in.")
            elif price is None:
                reader.blame(position, price_name, "", f"the price from {start} packs on", "Fill the cell in.")
            elif start <= below:
                reader.blame(position, start_name, str(start), "more packs than the price break before it")
        breaks.append((starts, prices))
        last_start = [below if start is None else start for start, below in zip(starts, last_start, strict=True)]
    return breaks


def _merge_duplicates(reader: Reader, lines: OfferLines) -> None:
    """Take a row that says the same twice as one; refuse both where they differ in price or terms."""
    keys = list(zip(lines.supplier, lines.part, lines.supplier_part, lines.pack, strict=True))
    if len(set(keys)) == len(keys):
        return
    first_at: dict[tuple[object, ...], int] = {}
    for position, key in enumerate(keys):
        if position in lines.refused:
            continue
        first = first_at.setdefault(key, position)
        if first == position:
            continue
        if _same_terms(lines, first, position):
            lines.refused.add(position)
            place = reader.table.place(position, "part number")
            lines.notes.append(f"{place}: the same as {reader.table.place(first, 'part number')}; read once")
            continue
        where = reader.table.place(first, "part number")
        mend = "Correct or delete one of the two rows."
        reader.blame(position, "part number", str(key[1]), f"the same terms as at {where}, the same line", mend)
        lines.refused.add(first)


def _same_terms(lines: OfferLines, first: int, second: int) -> bool:
    columns = (
        lines.price_cents,
        lines.minimum_packs,
        lines.lead_days,
        lines.special_order,
        lines.discontinued,
        lines.superseded_by,
        *(column for pair in lines.tiers for column in pair),
    )
    return all(column[first] == column[second] for column in columns)
