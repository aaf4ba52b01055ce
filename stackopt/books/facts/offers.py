"""Price lists: every row checked by column, records made only of the rows that are asked for."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection, Iterator, Mapping, Sequence
from itertools import pairwise
from typing import NamedTuple

from msgspec import Struct

from stackopt.books.asked.odd_rows import ask_about_odd_rows
from stackopt.books.asked.succession import successors_asked
from stackopt.books.asked.unread import ask_about_unread
from stackopt.books.facts.beside import join_beside, left_out_by_status
from stackopt.books.facts.describe import FactColumns, read_facts
from stackopt.books.facts.pricing import (
    FIRST_TIER,
    lead_days,
    minimum_packs,
    pieces_a_pack,
    price_breaks,
    price_per_pack,
)
from stackopt.books.tables.columns import ReadColumn, Reader
from stackopt.books.tables.table import Table
from stackopt.books.words import asides, cells
from stackopt.parts.part_records import Offer, PriceTier
from stackopt.parts.spare import telling_prices
from stackopt.problems import Problem


class SameLine(NamedTuple):
    """What lines that cost alike have in common: whose they are, and what which number of packs costs."""

    supplier: str
    price_cents: int
    minimum_packs: int
    breaks: tuple[PriceTier, ...]

    @property
    def is_plain(self) -> bool:
        """Any number of packs can be had, each at the same price."""
        return self.minimum_packs == 1 and not self.breaks


class OfferLines(Struct):
    """One price list by column; `refused` holds the positions of rows that cannot be used.

    `tiers` are the price breaks beyond the first price: columns of (from how many packs, price in cents).
    `facts` is what each row says about its part; `currency` is empty where nothing says it. `row_breaks` are price
    breaks that stand in rows of their own, by the row of the first price.
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
    row_breaks: dict[int, tuple[PriceTier, ...]]

    def offers(self, numbers: Collection[str]) -> Iterator[Offer]:
        """Yield the offers of the parts asked for, in the list's order."""
        positions = [at for at, number in enumerate(self.part) if number in numbers and at not in self.refused]
        return self._offers_at(positions)

    def spare(self, limits: Mapping[str, float], wanted: Collection[str]) -> Iterator[Offer]:
        """Yield lines that could fill an order, beside those of the parts that are wanted.

        Of lines that cost alike that with the first number is enough, and none is that cheaper ones come to. `limits`
        says by supplier below how many cents a line must be.
        """
        first = self._first_alike(limits, wanted)
        plain: dict[str, set[int]] = defaultdict(set)
        for each in first:
            if each.is_plain:
                plain[each.supplier].add(each.price_cents)
        kept = {supplier: telling_prices(prices) for supplier, prices in plain.items()}
        chosen = [at for each, at in first.items() if not each.is_plain or each.price_cents in kept[each.supplier]]
        return self._offers_at(chosen)

    def _first_alike(self, limits: Mapping[str, float], wanted: Collection[str]) -> dict[SameLine, int]:
        """Return for each price of a supplier the position of the line with the first part number."""
        first: dict[SameLine, int] = {}
        columns = zip(self.supplier, self.price_cents, self.minimum_packs, self.part, strict=True)
        for position, (supplier, price_cents, fewest, number) in enumerate(columns):
            limit = limits.get(supplier or "")
            if limit is None or not price_cents or (not self.tiers and price_cents * fewest >= limit):
                continue
            alike = SameLine(supplier or "", price_cents, fewest, self._tiers(position)[1:] if self.tiers else ())
            if alike in first and (number or "") >= (self.part[first[alike]] or ""):
                continue
            if number not in wanted and position not in self.refused and not self._is_not_sold_to_fill(position):
                first[alike] = position
        return first

    def _is_not_sold_to_fill(self, position: int) -> bool:
        return bool(self.special_order[position] or self.discontinued[position] or self.superseded_by[position])

    def _offers_at(self, positions: Sequence[int]) -> Iterator[Offer]:
        """Yield the offers of some rows, column by column: far quicker than row by row."""
        written_at = f"{self.table.sheet.whole_place}, row "
        columns = (
            self.supplier,
            self.part,
            self.supplier_part,
            self.pack,
            self.minimum_packs,
            self.lead_days,
            self.special_order,
            self.discontinued,
            self.superseded_by,
        )
        picked = [
            column.at_each(positions) if isinstance(column, ReadColumn) else map(column.__getitem__, positions)
            for column in columns
        ]
        for position, supplier, part, theirs, pack, least, days, special, gone, successor in zip(
            positions, *picked, strict=True
        ):
            yield Offer(
                supplier or "",
                part or "",
                self._tiers(position),
                theirs or "",
                pack,
                least,
                days,
                bool(special),
                bool(gone),
                successor or "",
                f"{written_at}{self.table.rows[position] + 1}",
            )

    def _tiers(self, position: int) -> tuple[PriceTier, ...]:
        first = PriceTier(FIRST_TIER, self.price_cents[position] or 0)
        if not (self.tiers or self.row_breaks):
            return (first,)
        breaks = ((starts[position], prices[position]) for starts, prices in self.tiers)
        in_row = (PriceTier(start, price) for start, price in breaks if start is not None and price is not None)
        return (first, *in_row, *self.row_breaks.get(position, ()))


def read_offers(table: Table) -> OfferLines:
    """Read a price list, column by column."""
    reader = Reader(table)
    join_beside(reader)
    statuses = left_out_by_status(reader, asides.status_of_offer)
    ask_about_odd_rows(reader)
    ask_about_unread(reader)
    supplier = reader.column("supplier", cells.text)
    part = reader.number_column("part number")
    pack = pieces_a_pack(reader)
    price = price_per_pack(reader, pack)
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
        minimum_packs(reader, pack),
        lead_days(reader),
        reader.column("special order", cells.yes_or_no),
        _discontinued(reader, statuses),
        successors_asked(reader, part, reader.column("superseded by", cells.part_number)),
        price_breaks(reader, price, pack),
        read_facts(reader),
        reader.problems,
        reader.refused,
        reader.marks.currency,
        {},
    )
    _join_breaks(reader, lines)
    _merge_duplicates(reader, lines)
    return lines


def _discontinued(reader: Reader, statuses: Sequence[str | None]) -> Sequence[bool | None]:
    """Return which lines are no longer made, by their own column or by their status."""
    said = reader.column("discontinued", cells.yes_or_no)
    if asides.DISCONTINUED not in statuses:
        return said
    return [gone or status == asides.DISCONTINUED for gone, status in zip(said, statuses, strict=True)]


def _join_breaks(reader: Reader, lines: OfferLines) -> None:
    """Join the rows of a part that give a lower price for more, each from its own quantity on, to one offer."""
    are_told_apart = len(set(lines.supplier_part)) == len(lines.supplier_part)
    if are_told_apart or not (reader.has("minimum quantity") or reader.has("minimum packs")):
        return
    alike: dict[tuple[object, ...], list[int]] = {}
    keys = zip(lines.supplier, lines.part, lines.supplier_part, lines.pack, lines.lead_days, strict=True)
    for position, key in enumerate(keys):
        if position not in lines.refused:
            alike.setdefault(key, []).append(position)
    for positions in alike.values():
        rising = sorted(positions, key=lines.minimum_packs.__getitem__)
        if len(rising) == 1 or not _falls(lines, rising):
            continue
        first, *more = rising
        lines.row_breaks[first] = tuple(PriceTier(lines.minimum_packs[at], lines.price_cents[at] or 0) for at in more)
        lines.refused.update(more)
        rows = sorted(reader.table.rows[at] + 1 for at in rising)
        said = f"{lines.part[first]}: rows {', '.join(map(str, rows))} are one offer with price breaks"
        reader.table.account.said.append(said)


def _falls(lines: OfferLines, rising: Sequence[int]) -> bool:
    """Tell whether the price falls from each row to the next, which asks for more."""
    return all(
        lines.minimum_packs[less] < lines.minimum_packs[more]
        and (lines.price_cents[less] or 0) > (lines.price_cents[more] or 0)
        for less, more in pairwise(rising)
    )


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
        if _is_express(lines, first, position):
            continue
        where = reader.table.place(first, "part number")
        mend = "Correct or delete one of the two rows."
        reader.blame(position, "part number", str(key[1]), f"the same terms as at {where}, the same line", mend)
        lines.refused.add(first)


def _is_express(lines: OfferLines, first: int, second: int) -> bool:
    """Tell whether two lines of one part are two offers: the one that takes less time costs more."""
    days, cents = lines.lead_days, lines.price_cents
    sooner, later = sorted((first, second), key=lambda position: days[position])
    return days[sooner] < days[later] and (cents[sooner] or 0) > (cents[later] or 0)


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
