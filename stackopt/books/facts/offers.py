"""Price lists: every row checked by column, records made only of the rows that are asked for."""

from __future__ import annotations

import math
from collections.abc import Collection, Iterator, Sequence
from typing import cast

from msgspec import Struct

from stackopt.books.facts.describe import FactColumns, read_facts
from stackopt.books.tables.columns import Reader
from stackopt.books.tables.money import currency_of
from stackopt.books.tables.table import Table
from stackopt.books.words import amounts, cells
from stackopt.parts.records import Offer, PriceTier
from stackopt.problems import Problem

FIRST_TIER = 1


class OfferLines(Struct):
    """One price list by column; `refused` holds the positions of rows that cannot be used.

    `tiers` are the price breaks beyond the first price: columns of (from how many packs, price in cents).
    `facts` is what each row says about its part; `currency` is empty where nothing says it.
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
    facts: FactColumns
    problems: list[Problem]
    refused: set[int]
    currency: str

    def offers(self, numbers: Collection[str]) -> Iterator[Offer]:
        """Yield the offers of the parts asked for, in the list's order."""
        where = f"{self.table.sheet.whole_place}, row "
        for position, number in enumerate(self.part):
            if number in numbers and position not in self.refused:
                yield self._offer(position, f"{where}{self.table.rows[position] + 1}")

    def _offer(self, position: int, written_at: str) -> Offer:
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
            written_at=written_at,
        )

    def _tiers(self, position: int) -> tuple[PriceTier, ...]:
        first = PriceTier(FIRST_TIER, self.price_cents[position] or 0)
        if not self.tiers:
            return (first,)
        breaks = ((starts[position], prices[position]) for starts, prices in self.tiers)
        return (first, *(PriceTier(start, price) for start, price in breaks if start is not None and price is not None))


def read_offers(table: Table) -> OfferLines:
    """Read a price list, column by column."""
    reader = Reader(table)
    supplier = reader.column("supplier", cells.text)
    part = reader.number_column("part number")
    pack = reader.filled_column("pack", amounts.count(1, table.mark), 1)
    price = _price_per_pack(reader, pack)
    reader.need("supplier", supplier, "the supplier's name")
    reader.need("part number", part, "a part number")
    reader.need("price" if reader.has("price") else "price each", price, "a price")
    lines = OfferLines(
        table,
        supplier,
        part,
        reader.number_column("supplier part number"),
        price,
        pack,
        _minimum_packs(reader, pack),
        _lead_days(reader),
        reader.column("special order", cells.yes_or_no),
        reader.column("discontinued", cells.yes_or_no),
        reader.column("superseded by", cells.part_number),
        _price_breaks(reader),
        read_facts(reader),
        reader.problems,
        reader.refused,
        currency_of(table),
    )
    _merge_duplicates(reader, lines)
    return lines


def _price_per_pack(reader: Reader, pack: Sequence[int]) -> Sequence[int | None]:
    """Return the price of one pack: as listed, or pieces times the price of one where only that is listed."""
    if reader.has("price"):
        return reader.money_column("price")
    each = reader.money_column("price each")
    if reader.has("pack"):
        reader.table.account.said.append("prices are for one piece; a pack costs pieces times that")
    return [None if price is None else price * pieces for price, pieces in zip(each, pack, strict=True)]


def _minimum_packs(reader: Reader, pack: Sequence[int]) -> Sequence[int]:
    """Return the least number of packs, as listed or enough for the least number of pieces."""
    whole = amounts.count(1, reader.table.mark)
    packs = reader.filled_column("minimum packs", whole, 1)
    if not reader.has("minimum quantity"):
        return packs
    pieces = reader.filled_column("minimum quantity", whole, 1)
    return [max(least, math.ceil(p / size)) for least, p, size in zip(packs, pieces, pack, strict=True)]


def _lead_days(reader: Reader) -> Sequence[int]:
    """Return lead times, days; where none is said 0 is taken, and said so."""
    table = reader.table
    days = reader.column("lead days", amounts.days(table.units.get("lead days", ""), table.mark))
    if None not in days:
        return cast(Sequence[int], days)
    silent = days.count(None) if reader.has("lead days") else 0
    where = f"{silent} rows say no lead time" if silent else "no lead times are said"
    table.account.said.append(f"{where}; 0 days taken")
    return [0 if day is None else day for day in days]


def _price_breaks(reader: Reader) -> Sequence[tuple[Sequence[int | None], Sequence[int | None]]]:
    """Read the pairs of columns ``packs from N`` and ``price N``; breaks must rise in packs."""
    mark = reader.table.mark
    numbers = sorted(int(name.split()[-1]) for name in reader.table.cells if name.startswith("packs from "))
    breaks = []
    below: Sequence[int] = [FIRST_TIER] * len(reader.table.rows)
    for number in numbers:
        starts = reader.column(f"packs from {number}", amounts.count(1, mark))
        prices = reader.money_column(f"price {number}")
        _blame_breaks(reader, number, starts, prices, below)
        breaks.append((starts, prices))
        below = [last if start is None else start for start, last in zip(starts, below, strict=True)]
    return breaks


def _blame_breaks(
    reader: Reader, number: int, starts: Sequence[int | None], prices: Sequence[int | None], below: Sequence[int]
) -> None:
    """Note price breaks of which one half is missing, and those that do not rise."""
    start_name, price_name = f"packs from {number}", f"price {number}"
    for position, (start, price, last) in enumerate(zip(starts, prices, below, strict=True)):
        if start is None:
            if price is not None and position not in reader.refused:
                reader.blame(position, start_name, "", f"how many packs {price_name} starts from", "Fill the cell in.")
        elif position in reader.refused:
            continue
        elif price is None:
            reader.blame(position, price_name, "", f"the price from {start} packs on", "Fill the cell in.")
        elif start <= last:
            reader.blame(position, start_name, str(start), "more packs than the price break before it")


def _merge_duplicates(reader: Reader, lines: OfferLines) -> None:
    """Take a row that says the same twice as one; refuse both where they differ in price or terms."""
    if len(set(lines.supplier_part)) == len(lines.supplier_part):
        return
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
            rows = reader.table.rows
            said = f"{key[1]}: row {rows[position] + 1} is the same as row {rows[first] + 1}; read once"
            reader.table.account.said.append(said)
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
