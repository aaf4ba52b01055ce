"""Part numbers that differ in capitals or in the kind of a hyphen alone: one part or two, only the user can say."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Sequence

from msgspec.structs import replace

from stackopt.books.facts.offers import OfferLines
from stackopt.books.facts.stock import StockRow
from stackopt.books.tables.table import Table
from stackopt.problems import Question

SAME, DIFFERENT = "the same part", "different parts"
KEY = "spelling of part numbers"
# Hyphens of other widths, and Cyrillic letters that look as Latin ones do, as one: those of casefolded texts.
ALIKE = str.maketrans("‐‑‒–—―−﹣－авекмнорстух", "---------abekmhopctyx")


def settle_twins(stock: Sequence[StockRow], offers: Sequence[OfferLines]) -> list[StockRow]:
    """Return the stock rows, twins among them settled as the user says; those in question are left out of both."""
    numbers = list(dict.fromkeys([*(row.line.part for row in stock), *_offered(offers)]))
    if not numbers:
        return []
    folded = dict(zip(numbers, "\n".join(numbers).casefold().translate(ALIKE).split("\n"), strict=True))
    if len(set(folded.values())) == len(numbers):
        return list(stock)
    first: dict[str, str] = {}
    for number in numbers:
        first.setdefault(folded[number], number)
    meant = {number: first[folded[number]] for number in numbers if first[folded[number]] != number}
    for lines in offers:
        _settle_offers(lines, meant)
    return _settled_stock(stock, meant)


def _offered(offers: Iterable[OfferLines]) -> list[str]:
    return [number for lines in offers for number in lines.part if number is not None]


def _settle_offers(lines: OfferLines, meant: dict[str, str]) -> None:
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


def _settled_stock(stock: Sequence[StockRow], meant: dict[str, str]) -> list[StockRow]:
    tables = {id(row.spot.table): row.spot.table for row in stock if row.line.part in meant}
    answers: dict[int, str | None] = {}
    for key, table in tables.items():
        own = [row for row in stock if row.spot.table is table and row.line.part in meant]
        answers[key] = _asked(table, [row.spot.position for row in own], [row.line.part for row in own], meant)
    settled = [_settled(row, meant, answers) for row in stock]
    return [row for row in settled if row is not None]


def _settled(row: StockRow, meant: dict[str, str], answers: dict[int, str | None]) -> StockRow | None:
    number = row.line.part
    if number not in meant:
        return row
    answer = answers[id(row.spot.table)]
    if answer == SAME:
        return replace(row, line=replace(row.line, part=meant[number]))
    return row if answer == DIFFERENT else None


def _asked(table: Table, positions: Sequence[int], spelled: Collection[str], meant: dict[str, str]) -> str | None:
    """Ask once for a table whether its odd spellings are the same parts; at its cell where there is but one."""
    odd = list(dict.fromkeys(spelled))
    place = table.place(positions[0], "part number")
    if len(odd) > 1:
        place = table.sheet.column_place(table.layout.columns["part number"].index)
    pairs = ", ".join(f"{number} and {meant[number]}" for number in odd[:3]) + (" …" if len(odd) > 3 else "")
    expected = "to know whether part numbers that differ in capitals or hyphens alone are one part"
    return table.inquiry.ask(Question(place, pairs, expected, (SAME, DIFFERENT), KEY))
