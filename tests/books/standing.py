"""What stands in a file, read without this project, and whether every fact read from it stands there."""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from fractions import Fraction
from itertools import combinations
from pathlib import Path

from python_calamine import CalamineWorkbook, SheetTypeEnum

from stackopt.books.facts.book_records import Books
from stackopt.books.files.archive import pack, unpack
from stackopt.books.files.delimited import decode
from stackopt.parts.part_records import Offer, Part, StockLine

# To millimetres: 16 CFR 500.19, 1 in = 25.4 mm and 1 mil = 0.0254 mm exactly; a length may be written in any of them.
LENGTH_UNITS = (1.0, 25.4, 0.0254, 0.001, 10.0)
NUMBER = re.compile(r"\d[\d.,' \u00a0\u202f]*|[.,]\d+")
# Zero-width spaces and joiners, direction marks, the byte order mark: nobody sees them.
INVISIBLE = re.compile("[\u200b-\u200f\u2060\ufeff]")
FRACTION = re.compile(r"(?:(\d+)[ -])?(\d+) ?/ ?(\d+)")


@dataclass(frozen=True)
class Row:
    """The texts and the numbers that may be read in one row, however its marks and units are understood."""

    texts: frozenset[str]
    numbers: tuple[float, ...]
    days: frozenset[date]

    def has(self, number: float, factors: Sequence[float] = (1.0,)) -> bool:
        wanted = abs(number)
        return any(abs(one * factor - wanted) <= 1e-6 + 1e-6 * wanted for one in self.numbers for factor in factors)


def rows_of(path: Path) -> list[Row]:
    """Every row of every sheet; a delimited text is split at each of the usual marks."""
    if path.suffix != ".csv":
        return [_row(cells) for cells in _workbook_rows(path)]
    text = next(iter(decode(path.read_bytes()).values()), "")
    split = (csv.reader(io.StringIO(text, newline=""), delimiter=mark) for mark in (*",;\t|", *_said_mark(text)))
    return [_row(cells) for rows in split for cells in rows]


def _said_mark(text: str) -> str:
    return text[4] if text[:4].lower() == "sep=" and len(text) > 4 and text[4] not in "\r\n" else ""


def _workbook_rows(path: Path) -> Iterator[list[object]]:
    book = CalamineWorkbook.from_filelike(_mended(path.read_bytes()))
    for index, meta in enumerate(book.sheets_metadata):
        if meta.typ is SheetTypeEnum.WorkSheet:
            yield from book.get_sheet_by_index(index).to_python()


def _mended(content: bytes) -> io.BytesIO:
    """An archive packed anew from the parts that hold cells: its directory may be damaged; anything else as it is."""
    return pack(unpack("", content)) if content.startswith(b"PK") else io.BytesIO(content)


def _row(cells: Iterable[object]) -> Row:
    filled = [cell for cell in cells if cell != ""]
    texts = {" ".join(INVISIBLE.sub("", _written(cell)).split()) for cell in filled}
    numbers = {number for cell in filled for number in _numbers(cell)}
    days = {cell.date() if isinstance(cell, datetime) else cell for cell in filled if isinstance(cell, date)}
    return Row(
        frozenset(texts | {text.lstrip("'") for text in texts}),
        tuple(numbers),
        frozenset(days | set(_days(texts))),
    )


def _written(cell: object) -> str:
    return str(int(cell)) if isinstance(cell, float) and cell.is_integer() and abs(cell) < 1e15 else str(cell)


def _numbers(cell: object) -> Iterator[float]:
    if isinstance(cell, bool | int | float):
        yield float(cell)
    elif isinstance(cell, str):
        for whole, top, bottom in FRACTION.findall(cell):
            if int(bottom):
                yield float(int(whole or 0) + Fraction(int(top), int(bottom)))
        if re.fullmatch(r"\s*[\d.]+[eE]\d+\s*", cell):
            yield float(cell)
        for found in NUMBER.findall(cell):
            yield from _readings(re.sub(r"[' \u00a0\u202f]", "", found))


def _readings(digits: str) -> Iterator[float]:
    """A number as it reads with a point, with a comma, and without thousands separators."""
    for text in (digits, digits.replace(",", ""), digits.replace(".", "").replace(",", "."), digits.replace(".", "")):
        try:
            yield float(text.rstrip(".,"))
        except ValueError:
            continue


def _days(texts: Iterable[str]) -> Iterator[date]:
    for text in texts:
        for pattern in ("%Y-%m-%d", "%d.%m.%Y", "%Y-%m-%d %H:%M:%S"):
            try:
                yield datetime.strptime(text, pattern).date()
            except ValueError:
                continue


def invented(books: Books, rows: Sequence[Row]) -> list[str]:
    """Return the facts that stand nowhere in the rows which speak of their part, supplier, set or engine."""
    told = [fault for number, part in books.parts.items() for fault in _part(part, _about(rows, number))]
    told += [fault for number, line in books.stock.items() for fault in _stock(line, _about(rows, number))]
    told += [fault for offer in books.supply.offers for fault in _offer(offer, _about(rows, offer.part), rows)]
    for name, terms in books.suppliers.items():
        sums = (terms.freight_cents, terms.free_freight_over_cents, terms.minimum_order_cents)
        told += [f"{name}: {cents} cents" for cents in sums if cents and not _any(_about(rows, name), cents / 100)]
    for kit in books.kits.values():
        about = _about(rows, kit.number)
        told += [f"{kit.number}: {held}" for held in kit.contents.items() if not _any(_about(rows, held[0]), held[1])]
        told += [] if about else [f"set {kit.number}"]
    for used in books.usage:
        if not any(row.has(used.quantity) and used.day in row.days for row in _about(rows, used.part)):
            told.append(f"used {used}")
    for work in books.services:
        told += [] if _any(_about(rows, work.service), work.price_cents / 100) else [f"service {work}"]
    return told + list(_engines(books, rows))


def _about(rows: Sequence[Row], text: str) -> list[Row]:
    return [row for row in rows if text in row.texts or any(text in held.split(";") for held in row.texts)]


def _any(rows: Iterable[Row], number: float, factors: Sequence[float] = (1.0,)) -> bool:
    return any(row.has(number, factors) for row in rows)


def _adds_up(about: Sequence[Row], count: int) -> bool:
    """Tell whether two heaps come to a count: a number of each of two rows."""
    pairs = combinations([row.numbers for row in about], 2)
    return any(abs(one + other - count) < 1e-6 for left, right in pairs for one in left for other in right)


def _part(part: Part, about: Sequence[Row]) -> Iterator[str]:
    if not about:
        yield f"part {part.number}"
    lengths = {"thickness": part.thickness_mm, "tolerance": part.tolerance_mm, "opening": part.opening_mm}
    for name, length_mm in lengths.items():
        # A tolerance may be a share of the thickness, as 12 %.
        share = (part.thickness_mm / 100,) if name == "tolerance" else ()
        if length_mm and not part.estimated and not _any(about, length_mm, (*LENGTH_UNITS, *share)):
            yield f"{part.number}: {name} {length_mm} mm"
    if part.covers != 1 and not _any(about, part.covers):
        yield f"{part.number}: covers {part.covers}"


def _stock(line: StockLine, about: Sequence[Row]) -> Iterator[str]:
    counts = {"on hand": line.on_hand, "reserved": line.reserved or None, "min": line.minimum, "max": line.maximum}
    counts |= {"on order": line.on_order or None}
    for name, count in counts.items():
        if count is not None and not _any(about, count) and not _adds_up(about, count):
            yield f"{line.part}: {name} {count}"
    if line.unit_cost_cents and not _any(about, line.unit_cost_cents / 100):
        yield f"{line.part}: unit cost {line.unit_cost_cents} cents"


def _is_of_a_hundred(about: Sequence[Row], cents: int, pack: int) -> bool:
    """Tell whether a pack of a price for 100 pieces comes to so many cents, rounded."""
    numbers = (number for row in about if row.has(100) for number in row.numbers)
    return any(abs(number * pack - cents) <= 0.5 + 1e-6 for number in numbers)


def _offer(offer: Offer, about: Sequence[Row], rows: Sequence[Row]) -> Iterator[str]:
    for tier in offer.tiers:
        each = 1 / offer.pack
        if not any(_any(about, tier.price_cents / 100 * factor) for factor in (1.0, each)) and not _is_of_a_hundred(
            about, tier.price_cents, offer.pack
        ):
            yield f"{offer.part}: {tier.price_cents} cents"
        # From how many packs on, a header may say.
        if tier.from_packs != 1 and not _any(rows, tier.from_packs):
            yield f"{offer.part}: from {tier.from_packs} packs"
    if offer.pack != 1 and not _any(about, offer.pack):
        yield f"{offer.part}: pack {offer.pack}"
    if offer.lead_days and not _any(about, offer.lead_days, (1.0, 7.0)):
        yield f"{offer.part}: {offer.lead_days} days"


def _engines(books: Books, rows: Sequence[Row]) -> Iterator[str]:
    for engine in books.engines:
        about = _about(rows, engine.name)
        for one in engine.cylinders:
            lengths = [one.bore_mm, one.stroke_mm, *([one.deck_height_mm] if one.deck_height_mm else [])]
            missing = [length_mm for length_mm in lengths if not _any(about, length_mm, LENGTH_UNITS)]
            if missing:
                yield f"{engine.name} {one.name}: {missing} mm"
            if one.chamber_volume_cc and not _any(about, one.chamber_volume_cc, (1.0, 0.001, 16.387064, 1000.0)):
                yield f"{engine.name} {one.name}: chamber {one.chamber_volume_cc} cc"
