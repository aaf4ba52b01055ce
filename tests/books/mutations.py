"""Books that were whole, with bytes or cells of them changed."""

from __future__ import annotations

import io
import random
import zipfile
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from datetime import date, time
from pathlib import Path

from stackopt.books.facts.book_records import Books
from stackopt.books.out.engines import COLUMNS
from tests.books.ugly import Page, Taste, pages, write_delimited, write_workbook
from tests.books.whole_books import records_by_role

NASTY: tuple[object, ...] = (
    None, "", " ", "-", "n/a", "TBD", "#N/A", "#DIV/0!", "Err:502", 0, -1, 1, 2, 7, 0.5, 0.02, 20, 1e300, -0.0,
    3.0000001, 10**12, "0,40", "0.40", "1.250", "1,250", "1.250,50", "1 250", "1e3", "½", "1/32", "1/0", "3-12",
    "½ in", "0.4mm", "0.4 furlong", "20 thou", "15 µm", "0.016\"", "€ 9,00", "$12", "12 USD", "(4)", "4-", "+4",
    "5 or 6", "~3", "3?", "2 weeks", "12%", "yes", True, False, date(2027, 3, 12), time(3, 12), "2027-03-12",
    "03/12/2027", "31.02.2027", "Total", "Sub-total", "part number", "thickness (in)", "units", "inches",
    "base gasket", "head gasket", "piston", "kit", "*", ";", "any", "A\nB", "=1+1", "'=1", "\u200b", "\ufeffX",
    "04/03/2027", "3-Dec", "#######", "10+", "10-49", "from 5", "BG-1 / BG-2", "'00123", "1.23457E+11", "KV82-KV90",
    "0.4 free", "0.5 (0.45)", "95p", "12.50/100", "12.50 per 100", "3 packs", "1 dozen", "KW 12", "10 WD", "ex stock",
    "Größe", "x" * 40_000, "٣", "²", "NaN", "inf", "None", "1_000", "0x10",
)  # fmt: skip
BESIDE: tuple[tuple[str, object], ...] = (
    ("Unit", "in"), ("UoM", "pack"), ("Per", 100), ("Discount", "10%"), ("Status", "on hold"), ("Currency", "USD"),
    ("2025", 4), ("Packing", 1.5), ("Weight (g)", 12), ("Remark", "damaged"), ("Colour", "grey"), ("Qty from", 10),
)  # fmt: skip
BEHIND = (
    "*",
    "?",
    " mm",
    " in",
    " pcs",
    " packs",
    " (free)",
    " net",
    " reserved",
    " or 2",
    " per 100",
    "%",
    " ",
    "\u200b",
)
SAID = (
    "All dimensions in inches", "Prices less 10 %", "Prices per 100", "SCRAPPED", "Supplier: Elsewhere", "O-rings",
    "Lead times in weeks", "thicknesses uncompressed", "nice parts",
)  # fmt: skip


@dataclass
class Mutated:
    """Files of one book after something was done to it; `touched` are the texts of the rows that were changed.

    `touched` is None where more than single rows of the body may have changed their meaning.
    """

    paths: list[Path]
    done: str
    touched: set[str] | None = field(default_factory=set)


def clean_pages(books: Books) -> list[Page]:
    laid = []
    for role, records in records_by_role(books).items():
        columns = [one for one in COLUMNS[role] if one.always or any(one.say(row) is not None for row in records)]
        if records:
            rows = [[one.say(record) for one in columns] for record in records]
            laid.append(Page(role.value, [[one.header for one in columns], *rows]))
    return laid


def mutate_cells(books: Books, folder: Path, dice: random.Random) -> Mutated:
    """Change a few cells, rows or columns of a clean or an ugly book, then write it as a workbook or as texts."""
    workbook, clean = dice.random() < 0.7, dice.random() < 0.5
    laid = clean_pages(books) if clean else pages(books, Taste(dice, workbook))
    mutated = Mutated([], "", set() if clean else None)
    for _ in range(dice.choice([1, 1, 1, 2, 5])):
        change = dice.choice(CELL_CHANGES)
        mutated.done += f" {change.__name__}"
        touched = change(dice.choice(laid), dice)
        mutated.touched = None if mutated.touched is None or touched is None else mutated.touched | touched
    if workbook:
        mutated.paths = [folder / "book.xlsx"]
        write_workbook(mutated.paths[0], laid)
    else:
        mutated.paths = write_delimited(folder, laid, dice)
    return mutated


def _texts(*rows: Sequence[object]) -> set[str]:
    return {" ".join(str(cell).split()) for row in rows for cell in row}


def _body_row(page: Page, dice: random.Random) -> int:
    return dice.randrange(1, len(page.rows)) if len(page.rows) > 1 else 0


def nasty_cell(page: Page, dice: random.Random) -> set[str] | None:
    at = _body_row(page, dice)
    row = page.rows[at]
    if not row:
        return set()
    before = list(row)
    row[dice.randrange(len(row))] = dice.choice(NASTY)
    return _texts(before, row) if at else None


def other_cell(page: Page, dice: random.Random) -> set[str] | None:
    """Put the content of one cell into another."""
    at, source = _body_row(page, dice), dice.choice(page.rows)
    row = page.rows[at]
    if not row or not source:
        return set()
    before = list(row)
    row[dice.randrange(len(row))] = dice.choice(source)
    return _texts(before, row) if at else None


def twice(page: Page, dice: random.Random) -> set[str] | None:
    """Repeat a row; a cell of the second is another."""
    at = _body_row(page, dice)
    page.rows.insert(at, list(page.rows[at]))
    return (nasty_cell(page, dice) or set()) | _texts(page.rows[at]) if at else None


def without_row(page: Page, dice: random.Random) -> set[str] | None:
    at = _body_row(page, dice)
    return _texts(page.rows.pop(at)) if at and len(page.rows) > 2 else None


def header_changed(page: Page, dice: random.Random) -> None:
    header = page.rows[0]
    if header:
        header[dice.randrange(len(header))] = dice.choice([*NASTY, *header])


def column_beside(page: Page, dice: random.Random) -> None:
    """Put a column beside the others: what stands in it may change what they say."""
    at = dice.randrange(max(map(len, page.rows)) + 1)
    header, filling = dice.choice(BESIDE)
    for number, row in enumerate(page.rows):
        if at <= len(row):
            row.insert(at, header if number == 0 else filling)


def words_behind(page: Page, dice: random.Random) -> set[str] | None:
    """Write words behind what stands in a cell, as people do."""
    at = _body_row(page, dice)
    row = page.rows[at]
    if not row:
        return set()
    before, place = list(row), dice.randrange(len(row))
    row[place] = f"{row[place]}{dice.choice(BEHIND)}"
    return _texts(before, row) if at else None


def note_between(page: Page, dice: random.Random) -> None:
    page.rows.insert(dice.randrange(len(page.rows) + 1), [dice.choice(SAID)])


def columns_swapped(page: Page, dice: random.Random) -> None:
    """Exchange the cells of two columns from some row on, as a slipped paste does."""
    widest = max(map(len, page.rows))
    one, other, start = dice.randrange(widest), dice.randrange(widest), dice.randrange(len(page.rows))
    for row in page.rows[start:]:
        if max(one, other) < len(row):
            row[one], row[other] = row[other], row[one]


def cells_shifted(page: Page, dice: random.Random) -> None:
    """Push the cells of a row one to the right, as an unquoted comma does."""
    row = dice.choice(page.rows)
    row.insert(dice.randrange(len(row) + 1), dice.choice(NASTY[:4]))


CELL_CHANGES: tuple[Callable[[Page, random.Random], set[str] | None], ...] = (
    nasty_cell, nasty_cell, nasty_cell, nasty_cell, other_cell, other_cell, twice, without_row,
    header_changed, columns_swapped, cells_shifted, column_beside, words_behind, words_behind, note_between,
)  # fmt: skip


def mutate_bytes(source: Path, folder: Path, dice: random.Random) -> Mutated:
    """Change bytes of a file, or of one part inside its archive."""
    content, path = source.read_bytes(), folder / f"book{source.suffix}"
    if content.startswith(b"PK") and dice.random() < 0.7:
        path.write_bytes(_inside(content, dice))
        return Mutated([path], "bytes inside the archive", None)
    path.write_bytes(_bytes_changed(content, dice))
    return Mutated([path], "bytes", None)


def _inside(content: bytes, dice: random.Random) -> bytes:
    packed = io.BytesIO()
    with zipfile.ZipFile(io.BytesIO(content)) as before, zipfile.ZipFile(packed, "w", zipfile.ZIP_DEFLATED) as after:
        chosen = dice.choice(before.namelist())
        for name in before.namelist():
            part = before.read(name)
            after.writestr(name, _bytes_changed(part, dice) if name == chosen else part)
    return packed.getvalue()


def _bytes_changed(content: bytes, dice: random.Random) -> bytes:
    changed = bytearray(content)
    for _ in range(dice.choice([1, 1, 2, 8])):
        at = dice.randrange(len(changed) + 1)
        length = dice.choice([1, 1, 4, 100])
        match dice.randrange(5):
            case 0:
                changed[at : at + length] = bytes(dice.randrange(256) for _ in changed[at : at + length])
            case 1:
                del changed[at : at + length]
            case 2:
                start = dice.randrange(len(changed) + 1)
                changed[at:at] = changed[start : start + length]
            case 3:
                changed[at : at + 1] = dice.choice(
                    [b"0", b"9", b"-", b",", b".", b";", b'"', b"<", b"&", b"\0", b"\xff"]
                )
            case _:
                del changed[at if dice.random() < 0.2 else len(changed) :]
    return bytes(changed)
