"""Part numbers that differ in capitals, or in hyphens and blanks alone: one part or two, only the user can say.

Names of suppliers that differ so are one supplier.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterator, Mapping, Sequence
from typing import NamedTuple, TypeVar
from unicodedata import normalize

from msgspec.structs import replace

from stackopt.books.facts.offers import OfferLines
from stackopt.books.facts.stock import StockRow
from stackopt.books.facts.terms import KitLine, Placed, Spotted
from stackopt.books.tables.table import Table
from stackopt.parts.part_records import StockLine, Supplier, Usage
from stackopt.problems import Question

R = TypeVar("R", StockRow, Spotted[KitLine], Spotted[Usage])
_NAMES = ("part", "kit")

SAME, DIFFERENT = "the same part", "different parts"
KEY = "spelling of part numbers"
# Hyphens of other widths, and Cyrillic letters that look as Latin ones do, as one: those of casefolded texts.
ALIKE = str.maketrans("‐‑‒–—―−﹣－авекмнорстух", "---------abekmhopctyx")


class Numbered(NamedTuple):
    """All rows that name parts by their numbers."""

    stock: list[StockRow]
    offers: list[OfferLines]
    kits: list[Spotted[KitLine]]
    usage: list[Spotted[Usage]]


def with_one_spelling(
    offers: Sequence[OfferLines], suppliers: Sequence[Placed[Supplier]]
) -> Sequence[Placed[Supplier]]:
    """Give suppliers whose names differ in capitals, points or blanks alone the first of their names."""
    names = dict.fromkeys(row.record.name for row in suppliers)
    names |= dict.fromkeys(name for lines in offers for name in dict.fromkeys(lines.supplier) if name)
    first: dict[str, str] = {}
    meant = {name: first.setdefault(" ".join(name.casefold().replace(".", " ").split()), name) for name in names}
    meant = {name: spelled for name, spelled in meant.items() if name != spelled}
    if not meant:
        return suppliers
    for lines in offers:
        odd = [name for name in dict.fromkeys(lines.supplier) if name in meant]
        if odd:
            lines.supplier = [meant.get(name, name) if name else name for name in lines.supplier]
            lines.table.account.said += [f"{name} is the same supplier as {meant[name]}" for name in odd]
    named = ((row, meant.get(row.record.name, row.record.name)) for row in suppliers)
    return [replace(row, record=replace(row.record, name=name)) for row, name in named]


def settle_twins(rows: Numbered) -> Numbered:
    """Return the rows, twins among them settled as the user says; those in question are left out."""
    numbers = list(dict.fromkeys(_numbers(rows)))
    if not numbers:
        return rows
    joined = normalize("NFKC", "\n".join(numbers)).casefold().translate(ALIKE)
    folded = dict(zip(numbers, joined.replace(" -", "-").replace("- ", "-").replace(" ", "-").split("\n"), strict=True))
    if len(set(folded.values())) == len(numbers):
        return rows
    first: dict[str, str] = {}
    for number in numbers:
        first.setdefault(folded[number], number)
    meant = {number: first[folded[number]] for number in numbers if first[folded[number]] != number}
    for lines in rows.offers:
        _settle_offers(lines, meant)
    return rows._replace(
        stock=_settled(rows.stock, meant, lambda row: row.line),
        kits=_settled(rows.kits, meant, lambda row: row.record),
        usage=_settled(rows.usage, meant, lambda row: row.record),
    )


def _numbers(rows: Numbered) -> Iterator[str]:
    """Yield every number; of twins the one that comes first is the plain spelling."""
    yield from (row.line.part for row in rows.stock)
    yield from (number for lines in rows.offers for number in lines.part if number is not None)
    yield from (number for row in rows.kits for number in (row.record.kit, row.record.part))
    yield from (row.record.part for row in rows.usage)


def _settle_offers(lines: OfferLines, meant: Mapping[str, str]) -> None:
    places = [position for position, number in enumerate(lines.part) if number in meant]
    positions = [position for position in places if position not in lines.refused]
    if not positions:
        return
    spelled = [lines.part[position] or "" for position in positions]
    answer = _asked(lines.table, positions, spelled, meant)
    if answer is None:
        lines.refused.update(positions)
    elif answer == SAME:
        lines.part = [meant.get(number, number) if number else number for number in lines.part]


def _settled(rows: list[R], meant: Mapping[str, str], record_of: Callable[[R], StockLine | KitLine | Usage]) -> list[R]:
    """Return rows with their numbers as the user says; those in question are left out."""
    odd: dict[int, list[tuple[R, list[str]]]] = {}
    for row in rows:
        spelled = [number for number in _named_by(record_of(row)) if number in meant]
        if spelled:
            odd.setdefault(id(row.spot.table), []).append((row, spelled))
    answers = {
        key: _asked(
            own[0][0].spot.table,
            [row.spot.position for row, _ in own],
            [number for _, spelled in own for number in spelled],
            meant,
        )
        for key, own in odd.items()
    }
    in_odd = {id(row): answers[key] for key, own in odd.items() for row, _ in own}
    settled = (row if in_odd.get(id(row)) != SAME else _as_meant(row, meant) for row in rows)
    return [one for row, one in zip(rows, settled, strict=True) if in_odd.get(id(row), DIFFERENT) is not None]


def _named_by(record: StockLine | KitLine | Usage) -> tuple[str, ...]:
    return (record.kit, record.part) if isinstance(record, KitLine) else (record.part,)


def _as_meant(row: R, meant: Mapping[str, str]) -> R:
    """Return a row with its part under the number that is meant."""
    if isinstance(row, StockRow):
        return replace(row, line=replace(row.line, part=meant.get(row.line.part, row.line.part)))
    record = row.record
    renamed = {
        name: meant.get(getattr(record, name), getattr(record, name)) for name in _NAMES if hasattr(record, name)
    }
    return replace(row, record=replace(record, **renamed))


def _asked(table: Table, positions: Sequence[int], spelled: Collection[str], meant: Mapping[str, str]) -> str | None:
    """Ask once for a table whether its odd spellings are the same parts; at its cell where there is but one."""
    odd = list(dict.fromkeys(spelled))
    place = table.place(positions[0], "part number")
    if len(odd) > 1:
        place = table.sheet.column_place(table.layout.columns["part number"].index)
    pairs = ", ".join(f"{number} and {meant[number]}" for number in odd[:3]) + (" …" if len(odd) > 3 else "")
    expected = "to know whether part numbers that differ in capitals, hyphens or blanks alone are one part"
    meant_by = ", ".join(f"{number} and {meant[number]}" for number in odd)
    return table.inquiry.ask(Question(place, pairs, expected, (SAME, DIFFERENT), KEY), of=meant_by)
