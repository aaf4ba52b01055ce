"""The shelf as a stock list: a spreadsheet with the columns that `stock` reads."""

from __future__ import annotations

import csv
import io
from collections.abc import Callable, Sequence
from pathlib import Path

from openpyxl import Workbook
from openpyxl.styles import Font

from stackopt.books.safe_text import csv_text, put
from stackopt.books.writing import write_whole
from stackopt.parts.records import Part, StockLine, Supply
from stackopt.problems import InputError, Place, Problem

Value = str | int | float | None

# Header, whether it stands in every list, and what a part and its line say there.
COLUMNS: tuple[tuple[str, bool, Callable[[Part, StockLine], Value]], ...] = (
    ("part number", True, lambda part, _: part.number),
    ("kind", True, lambda part, _: part.kind.value),
    ("fits", True, lambda part, _: ";".join(sorted(part.families))),
    ("thickness (mm)", True, lambda part, _: part.thickness_mm or None),
    ("thickness tolerance (mm)", False, lambda part, _: part.tolerance_mm or None),
    ("opening (mm)", False, lambda part, _: _opening(part)),
    ("covers", False, lambda part, _: part.covers if part.covers != 1 else None),
    ("position", False, lambda part, _: part.position or None),
    ("crown volume (cc)", False, lambda part, _: part.crown_volume_cc),
    ("compression height (mm)", False, lambda part, _: part.compression_height_mm),
    ("material", False, lambda part, _: part.material or None),
    ("on hand", True, lambda _, line: line.on_hand),
    ("reserved", False, lambda _, line: line.reserved or None),
    ("unit cost", False, lambda _, line: line.unit_cost_cents / 100 if line.unit_cost_cents else None),
    ("min", False, lambda _, line: line.minimum),
    ("max", False, lambda _, line: line.maximum),
    ("service level", False, lambda _, line: line.service_level),
    ("bin", False, lambda _, line: line.bin or None),
    ("description", False, lambda part, _: part.description or None),
)


def _opening(part: Part) -> Value:
    if part.opening_mm is not None or part.opening_mm2 is None:
        return part.opening_mm
    return f"{part.opening_mm2!r} mm²"


def write_stock_list(path: Path, supply: Supply, *, replace: bool) -> int:
    """Write what lies on the shelf as an .xlsx or a .csv file; return how many parts it lists.

    Columns in which no part says anything are left out.

    Raises
    ------
    InputError
        When the name ends otherwise, a file stands there that may not be replaced, or the place cannot be written.
    """
    writers = {".xlsx": _workbook, ".csv": _delimited}
    if path.suffix.lower() not in writers:
        raise InputError(Problem(Place(str(path)), path.suffix, "a name that ends in .xlsx or .csv"))
    rows = _rows(supply)
    write_whole(path, writers[path.suffix.lower()](rows), replace=replace)
    return len(rows) - 1


def _rows(supply: Supply) -> list[list[Value]]:
    lines = sorted(supply.stock.items())
    columns = [[header, *(say(supply.parts[number], line) for number, line in lines)] for header, _, say in COLUMNS]
    kept = [
        column
        for column, (_, always, _) in zip(columns, COLUMNS, strict=True)
        if always or any(value is not None for value in column[1:])
    ]
    return [list(row) for row in zip(*kept, strict=True)]


def _workbook(rows: Sequence[Sequence[Value]]) -> bytes:
    workbook = Workbook()
    sheet = workbook.worksheets[0]
    sheet.title = "stock"
    for row_number, row in enumerate(rows, 1):
        for column_number, value in enumerate(row, 1):
            put(sheet.cell(row_number, column_number), value)
    for cell in sheet[1]:
        cell.font = Font(bold=True)
    sheet.freeze_panes = "B2"
    for letter, column in zip(sheet.column_dimensions, sheet.columns, strict=False):
        sheet.column_dimensions[letter].width = 2 + max(len(str(cell.value or "")) for cell in column)
    written = io.BytesIO()
    workbook.save(written)
    return written.getvalue()


def _delimited(rows: Sequence[Sequence[Value]]) -> bytes:
    written = io.StringIO()
    writer = csv.writer(written)
    for row in rows:
        writer.writerow([csv_text(value) if isinstance(value, str) else value for value in row])
    return written.getvalue().encode("utf-8-sig")
