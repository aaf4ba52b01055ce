"""What `check --json` prints: every key that programs rely on, and the values of a small shop, stated by hand."""

from __future__ import annotations

import datetime
import json
from pathlib import Path
from typing import Any

from click.testing import CliRunner

from stackopt.cli import main
from tests.books.building import ENGINE_HEADER, ENGINE_ROWS, xlsx

SHELF = [
    ("counted in January",),
    ("Part number", "Kind", "Fits", "Crushed thk (in)", "Tol (mm)", "On hand", "Reserved", "Min", "Max", "Cost (EUR)"),
    ("BG-1", "base gasket", "RK;KV", 0.02, 0.01, 4, 1, 2, 6, 4.80),
]
OFFERS = [
    ("Supplier", "Part number", "Price (EUR)", "Pack", "Lead days", "Kind", "Fits", "Thickness (mm)", "Opening (mm)"),
    ("Quill", "HG-1", 41.30, 2, 5, "head gasket", "KV", 0.508, 83),
]
SHEETS = {
    "Shelf": SHELF,
    "List": [(*OFFERS[0], "Packs from 2", "Price 2", "Remark"), (*OFFERS[1], 3, 33.04, "blue")],
    "Terms": [("Supplier", "Freight (EUR)"), ("Quill", 9)],
    "Sets": [("Kit", "Part number", "Quantity"), ("K-1", "BG-1", 2)],
    "Taken": [("Part number", "Date", "Quantity"), ("BG-1", datetime.date(2026, 2, 12), 2)],
    "Work": [("Service", "Price (EUR)"), ("head cut", 38)],
    "Engines": [ENGINE_HEADER, *ENGINE_ROWS],
    "Read me": [("Call Jon", "before Friday")],
}


def checked(book: Path) -> tuple[int, dict[str, Any]]:
    result = CliRunner().invoke(main, ["check", str(book), "--json"])
    return result.exit_code, json.loads(result.stdout)


def test_everything_that_was_read_is_told(tmp_path: Path) -> None:
    book = xlsx(tmp_path / "b.xlsx", SHEETS)
    code, told = checked(book)
    assert code == 0
    assert told["stock"] == [
        {"part": "BG-1", "kind": "base gasket", "fits": ["KV", "RK"], "thickness_mm": 0.508, "tolerance_mm": 0.01}
        | {"opening_mm": None, "covers": 1, "on_hand": 4, "reserved": 1, "on_order": 0, "expected": None}
        | {"minimum": 2, "maximum": 6, "unit_cost_cents": 480, "bin": None}
    ]
    assert told["offers"] == [
        {"supplier": "Quill", "part": "HG-1", "supplier_part": None, "price_cents": 4130, "pack": 2, "lead_days": 5}
        | {"tiers": [[1, 4130], [3, 3304]], "minimum_packs": 1, "special_order": False, "discontinued": False}
        | {"superseded_by": None, "currency": "EUR", "kind": "head gasket", "fits": ["KV"], "thickness_mm": 0.508}
        | {"opening_mm": 83.0, "covers": 1}
    ]
    assert told["suppliers"] == [
        {"supplier": "Quill", "freight_cents": 900, "free_freight_over_cents": None, "minimum_order_cents": 0}
    ]
    assert told["kits"] == [{"kit": "K-1", "part": "BG-1", "quantity": 2}]
    assert told["usage"] == [{"part": "BG-1", "date": "2026-02-12", "quantity": 2}]
    assert told["services"] == [{"service": "head cut", "price_cents": 3800, "per": None}]
    assert told["engines"] == [
        {"engine": "J-1", "family": "KV", "cylinders": ["front", "rear"], "due": None, "priority": 1}
    ]
    assert (told["problems"], told["questions"]) == ([], [])


def test_each_sheet_says_how_it_was_read(tmp_path: Path) -> None:
    book = xlsx(tmp_path / "b.xlsx", SHEETS)
    sheets = {sheet["sheet"]: sheet for sheet in checked(book)[1]["sheets"]}
    shelf = sheets["Shelf"]
    assert (shelf["file"], shelf["role"], shelf["header_row"], shelf["rows_read"]) == (str(book), "stock", 2, 1)
    assert shelf["columns"][3] == {"column": "D", "header": "Crushed thk (in)", "read_as": "thickness", "unit": "in"}
    assert shelf["columns"][9]["unit"] == "EUR"
    assert sheets["List"]["kept_aside"] == [{"column": "L", "header": "Remark"}]
    read_me = sheets["Read me"]
    assert (read_me["role"], read_me["header_row"]) == (None, None)
    assert read_me["said"] == ["no headers of any known role; kept aside"]


def test_rows_passed_over_and_problems_are_told_with_their_places(tmp_path: Path) -> None:
    rows = [*SHELF, SHELF[1], ("BG-2", "base gasket", "KV", 0.03, None, -1), (), ("Total", None, None, None, None, 3)]
    book = xlsx(tmp_path / "b.xlsx", {"Shelf": rows})
    code, told = checked(book)
    assert code == 2
    assert told["sheets"][0]["passed_over"] == [
        {"row": 4, "why": "the header again"},
        {"row": 7, "why": "a total, 'Total'"},
    ]
    (problem,) = told["problems"]
    assert {key: problem[key] for key in ("file", "sheet", "item", "found")} == {
        "file": str(book),
        "sheet": "Shelf",
        "item": "F5",
        "found": "-1",
    }
    assert problem.keys() == {"file", "sheet", "item", "found", "expected", "mend"}
