"""The same facts in the layouts that shops and suppliers really keep: every oddity that the reader is to stand."""

from __future__ import annotations

import random
from collections.abc import Sequence
from dataclasses import dataclass, field
from datetime import date
from decimal import Decimal
from fractions import Fraction
from pathlib import Path

from openpyxl import Workbook

from stackopt.books.facts.book_records import Books
from stackopt.books.files.safe_text import csv_text, put
from stackopt.books.out.columns import OutColumn
from stackopt.books.out.engines import COLUMNS
from stackopt.books.words.vocabulary import Role
from tests.books.stated_facts import exact
from tests.books.whole_books import records_by_role

SPELLINGS = {
    "part number": ("Part Number", "P/N", "Stock code", "ITEM", "part  no"),
    "kind": ("Kind", "Type", "Part type"),
    "fits": ("Fits", "Family", "Engine family", "application"),
    "thickness": ("Thickness", "thk", "Crushed thk", "THICKNESS INSTALLED", "T", "Compressed thickness"),
    "thickness tolerance": ("Thickness tolerance", "Tol.", "Tolerance ±"),
    "opening": ("Opening", "Opening Ø", "Gasket opening"),
    "on hand": ("On hand", "QOH", "Qty", "stock", "On-hand"),
    "unit cost": ("Unit cost", "Cost each", "Net", "cost"),
    "min": ("Min", "Minimum", "Reorder point"),
    "max": ("Max", "Max.", "Maximum"),
    "bin": ("Bin", "Location"),
    "description": ("Description", "Desc."),
    "supplier": ("Supplier", "Vendor"),
    "supplier part number": ("Supplier part number", "Their no.", "Cat. no."),
    "price": ("Price", "Net price", "Price per pack", "List"),
    "pack": ("Pack", "Pack size", "Pcs per pack"),
    "lead days": ("Lead days", "Lead time", "Delivery"),
    "special order": ("Special order", "Spcl", "Made to order"),
    "freight": ("Freight", "Carriage", "Shipping"),
    "quantity": ("Quantity", "Qty", "pcs"),
    "kit": ("Kit", "Set", "Kit no."),
    "cylinder": ("Cylinder", "Cyl."),
    "due": ("Due", "Due date", "Wanted by"),
    "chamber volume": ("Chamber volume", "Chamber", "Chamber vol."),
    "quench min": ("Quench min", "Min. quench", "Squish min"),
}
KIND_WORDS = {
    "base gasket": ("base gasket", "Base Gasket", "BASE", "base gaskets"),
    "head gasket": ("head gasket", "Head", "Head gskt"),
    "base shim": ("base shim", "Shim"),
    "piston": ("piston", "Pistons"),
    "kit": ("kit", "Gasket set", "SET"),
}
YES_WORDS = ("yes", "Y", "x", "TRUE", True)
INCH = Fraction("25.4")


@dataclass
class Page:
    """One ugly sheet: its rows, and what only a workbook can hold of it."""

    name: str
    rows: list[list[object]]
    merges: list[str] = field(default_factory=list)
    hidden: list[int] = field(default_factory=list)


@dataclass
class Taste:
    """How one book is ugly; drawn once a book."""

    dice: random.Random
    workbook: bool

    def chance(self, probability: float = 0.4) -> bool:
        return self.dice.random() < probability


def pages(books: Books, taste: Taste) -> list[Page]:
    """Lay facts out, each role on a page of its own and in a taste of its own."""
    laid = [_page(role, records, taste) for role, records in records_by_role(books).items() if records]
    if taste.workbook and taste.chance():
        laid.insert(0, Page("Read me", [["Call Jon about the copper gaskets"], [None], ["before Friday", 3]]))
    taste.dice.shuffle(laid)
    return laid


def _page(role: Role, records: Sequence[object], taste: Taste) -> Page:
    dice = taste.dice
    used = [one for one in COLUMNS[role] if one.always or any(one.say(record) is not None for record in records)]
    dice.shuffle(used)
    note_unit = dice.choice(["mm", "inches"]) if taste.chance(0.25) else ""
    comma = taste.chance()
    written = [_Column(one, role, taste, comma, note_unit) for one in used]
    group = _group(role, written, records, taste)
    if group is not None:
        written.remove(group)
    if taste.chance(0.3):
        written.insert(dice.randrange(len(written) + 1), _Remarks(dice))
    header: list[object] = [one.title for one in written]
    body = _body(records, written, group, taste)
    if taste.chance(0.3) and len(body) > 1:
        body.insert(dice.randrange(1, len(body) + 1), list(header))
    above: list[list[object]] = [["Nine Hairpins, engine shop"], ["as of 3 February"], []] if taste.chance() else []
    if note_unit:
        above.append(["Units", note_unit, "cc"])
    foot = _foot(written) if taste.chance(0.3) else []
    first = len(above) + 2
    page = Page(f"{role} {dice.randrange(100)}", [*above, header, *body, *foot])
    page.hidden = [first + at for at in range(len(body)) if taste.chance(0.05)]
    page.merges = [f"A{first + at}:C{first + at}" for at, row in enumerate(body) if len(row) == 1]
    return page


def _group(role: Role, written: Sequence[_Column], records: Sequence[object], taste: Taste) -> _Column | None:
    """Choose a column that headings above the rows fill instead; none more often than not."""
    if role not in (Role.STOCK, Role.OFFERS) or not taste.chance():
        return None
    names = ("supplier", "fits") if role is Role.OFFERS else ("fits", "kind")
    return next((one for one in written if one.name in names and _all_say(one, records)), None)


def _body(
    records: Sequence[object], written: Sequence[_Column], group: _Column | None, taste: Taste
) -> list[list[object]]:
    body: list[list[object]] = []
    said = None
    for record in sorted(records, key=lambda row: str(group.column.say(row))) if group else records:
        heading = group.column.say(record) if group else None
        if group and heading != said:
            said = heading
            body.append([group.heading(str(heading))])
        body.append([one.cell(one.column.say(record)) for one in written])
        if taste.chance(0.1):
            body.append([])
    return body


def _foot(written: Sequence[_Column]) -> list[list[object]]:
    """A total under one of the columns of numbers, its label under one of texts."""
    names = [one.name for one in written]
    labelled = next((name for name in names if name in ("part number", "supplier", "service", "kind")), None)
    added = next((name for name in names if name in ("on hand", "quantity", "price", "freight")), None)
    if labelled is None or added is None:
        return []
    row: list[object] = [None] * len(written)
    row[names.index(labelled)], row[names.index(added)] = "Total", 4711
    return [[], row]


def _all_say(one: _Column, records: Sequence[object]) -> bool:
    """Tell whether a column has a word for every row, as one that headings fill must."""
    said = [one.column.say(record) for record in records]
    return all(isinstance(value, str) and value[0].isalpha() for value in said)


class _Column:
    """One column as ugly as the taste of its page has it."""

    def __init__(self, column: OutColumn[object], role: Role, taste: Taste, comma: bool, note_unit: str) -> None:
        self.column, self.dice, self.comma = column, taste.dice, comma
        self.as_text = comma or not taste.workbook
        self.name, _, unit = column.header.partition(" (")
        self.unit = unit.rstrip(")")
        self.own_unit, where = self._unit(note_unit)
        self.in_cell = where == "cell"
        spellings = SPELLINGS.get(self.name, (self.name, self.name.title()))
        spelled = self.dice.choice(spellings if role is not Role.SERVICES else (self.name, self.name.upper()))
        shapes = {"header": ("{} ({})", "{} [{}]", "{} {}", "{}, {}")}.get(where, ("{}",))
        self.title = self.dice.choice(["{}", "{}", " {}  "]).format(
            self.dice.choice(shapes).format(spelled, self.own_unit)
        )

    def _unit(self, note_unit: str) -> tuple[str, str]:
        """Return the unit that the column is written in, and where that is said."""
        if not self.unit:
            return "", "nowhere"
        own = self.dice.choice(["mm", "in", "thou"]) if self.unit == "mm" else self.unit
        where = self.dice.choice(["header", "header", "cell", "note"])
        if where == "cell" or not note_unit:
            return own, "header" if where == "note" else where
        # A header that contradicts a note above it is asked about.
        return ({"mm": "mm", "inches": "in"}[note_unit] if self.unit == "mm" else own), where

    def heading(self, value: str) -> str:
        labels = {"supplier": ("Supplier: ", "Vendor: ", "Supplier "), "fits": ("Family: ", "Family ", "Fits: ")}
        return f"{self.dice.choice(labels.get(self.name, ('Kind: ', '')))}{value}"

    def cell(self, value: object) -> object:
        if value is None:
            return self.dice.choice(["", "-"] if self.as_text else [None, "", "-"])
        if self.name == "kind":
            return self.dice.choice(KIND_WORDS[str(value)])
        if value == "yes":
            said = self.dice.choice(YES_WORDS)
            return str(said) if self.as_text else said
        if isinstance(value, str):
            if self.comma and self.name in ("band recess", "opening"):
                value = value.replace(".", ",")
            return self.dice.choice([value, f" {value} ", value])
        if isinstance(value, date):
            return self.dice.choice([value.isoformat(), value.strftime("%d.%m.%Y")]) if self.as_text else value
        assert isinstance(value, int | float)
        return self._number(value)

    def _number(self, value: float) -> object:
        number = _in_unit(value, self.own_unit) if self.unit == "mm" else Decimal(repr(value))
        text = format(number.normalize(), "f")
        if self.name in ("price", "unit cost", "freight") and self.dice.random() < 0.2 and value >= 1000:
            text = f"{number:,.2f}"
        if self.name == "price" and self.as_text:
            text = f"{number:.2f}"
        if self.comma:
            text = text.translate(str.maketrans(".,", ",."))
        if self.in_cell:
            return f"{text} {self.own_unit}"
        if self.as_text or self.dice.random() < 0.1:
            return text
        return float(number)


class _Remarks(_Column):
    """A column that means nothing to the reader."""

    def __init__(self, dice: random.Random) -> None:
        self.dice, self.name, self.title = dice, "", "Remarks"
        self.column = OutColumn("", "", "", lambda _record: None)

    def cell(self, value: object) -> object:
        return self.dice.choice([value, "see J.", "??"])


def _in_unit(millimetres: float, unit: str) -> Decimal:
    """Return a length in another unit, to as many digits as it takes: an inch is 25.4 mm exactly."""
    exactly = Fraction(exact(millimetres))
    factor = {"mm": Fraction(1), "in": INCH, "thou": INCH / 1000}[unit]
    converted = exactly / factor
    return Decimal(converted.numerator) / Decimal(converted.denominator)


def write_workbook(path: Path, laid: Sequence[Page]) -> None:
    workbook = Workbook()
    workbook.remove(workbook.active)
    for page in laid:
        sheet = workbook.create_sheet(page.name)
        for number, row in enumerate(page.rows, start=1):
            for column, value in enumerate(row, start=1):
                if value is not None:
                    put(sheet.cell(number, column), value)
        for merged in page.merges:
            sheet.merge_cells(merged)
        for number in page.hidden:
            sheet.row_dimensions[number].hidden = True
    workbook.save(path)


def write_delimited(folder: Path, laid: Sequence[Page], dice: random.Random) -> list[Path]:
    paths = []
    for page in laid:
        delimiter = dice.choice(",;\t|")
        width = max(map(len, page.rows))
        rows = ([*row, *[""] * (width - len(row))] for row in page.rows)
        text = "\r\n".join(delimiter.join(_quoted(value, delimiter) for value in row) for row in rows)
        path = folder / f"{page.name}.csv"
        path.write_bytes(text.encode(dice.choice(["utf-8", "utf-8-sig", "utf-16", "cp1252"]), "replace"))
        paths.append(path)
    return paths


def _quoted(value: object, delimiter: str) -> str:
    text = "" if value is None else csv_text(value) if isinstance(value, str) else str(value)
    return '"' + text.replace('"', '""') + '"' if delimiter in text or '"' in text or "\n" in text else text
