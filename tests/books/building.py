"""Books built for one test: rows of plain values to a file."""

from __future__ import annotations

import csv
from collections.abc import Mapping, Sequence
from pathlib import Path

from openpyxl import Workbook

Rows = Sequence[Sequence[object]]


def xlsx(path: Path, sheets: Mapping[str, Rows]) -> Path:
    workbook = Workbook()
    workbook.remove(workbook.active)
    for name, rows in sheets.items():
        sheet = workbook.create_sheet(name)
        for row in rows:
            sheet.append(list(row))
    workbook.save(path)
    return path


def delimited(path: Path, rows: Rows, delimiter: str = ",", encoding: str = "utf-8") -> Path:
    with path.open("w", newline="", encoding=encoding) as file:
        csv.writer(file, delimiter=delimiter).writerows(rows)
    return path


STOCK_HEADER = ("Part number", "Kind", "Fits", "Thickness (mm)", "Opening (mm)", "On hand", "Unit cost")
STOCK_ROWS = (
    ("BG-40", "base gasket", "KV", 0.40, None, 3, 4.10),
    ("HG-60", "head gasket", "KV;RK", 0.60, 83.0, 1, 21),
)
OFFER_HEADER = ("Supplier", "Part number", "Price", "Pack", "Lead days")
ENGINE_HEADER = (
    "Engine",
    "Family",
    "Cylinder",
    "Bore (mm)",
    "Stroke (mm)",
    "Deck (mm)",
    "Deck side",
    "Chamber (cc)",
    "Quench min (mm)",
    "Quench max (mm)",
    "Compression min",
    "Compression max",
)
ENGINE_ROWS = (
    ("J-1", "KV", "front", 82, 78, 0.11, "proud", 50.2, 0.76, 1.02, 9, 10),
    ("J-1", "KV", "rear", 82, 78, 0.02, "below", 50.6, 0.76, 1.02, 9, 10),
)
