"""A plan's workbook as LibreOffice, a real spreadsheet program, opens it and works it out."""

from __future__ import annotations

from datetime import date, timedelta
from pathlib import Path

import pytest
from msgspec.structs import replace

from stackopt.books.files.sheets import Cell
from stackopt.books.out.plan_book import write_plan
from stackopt.choose.choice_records import Request
from stackopt.choose.solve.plan import make_task, solved
from stackopt.choose.why.explain import Answer, explained
from stackopt.engine.engine_records import Cylinder, Engine, Window
from stackopt.parts.part_records import Kind, Offer, Part, PriceTier, StockLine, Supplier, Supply
from tests.books.office import errors, needs_program, recalculated

TODAY = date(2027, 2, 1)
CYLINDER = Cylinder("front", 82.0, 78.0, 0.0, 50.0, quench=Window(0.76, 1.02, 0.89))
PARTS = {
    "B40": Part("B40", Kind.BASE_GASKET, frozenset({"A"}), 0.40, description="paper, 0.40"),
    "H50": Part("H50", Kind.HEAD_GASKET, frozenset({"A"}), 0.50, opening_mm=83.0),
}
SUPPLY = Supply(
    PARTS,
    {"B40": StockLine("B40", 1, bin="A1")},
    (
        Offer("Quillhaven", "H50", (PriceTier(1, 2000),), lead_days=3),
        Offer("Varnik", "B40", (PriceTier(1, 350),), pack=2, lead_days=3),
    ),
    {"Quillhaven": Supplier("Quillhaven", 900), "Varnik": Supplier("Varnik", 600)},
)
# Deck 0.00 with 0.40 + 0.50 has 0.90; deck 0.60 has 1.50 with the same, and nothing thinner is listed.
ENGINES = (
    Engine("HC-1", "A", (CYLINDER,), due=TODAY + timedelta(days=20)),
    Engine("HC-2", "A", (CYLINDER,)),
    Engine("HC-3", "A", (replace(CYLINDER, deck_height_mm=0.60),), priority=2),
)


def answer(*engines: Engine) -> Answer:
    request = Request(engines, TODAY)
    task = make_task(request, SUPPLY)
    return explained(request, task, solved(task))


def rows_below(rows: list[list[Cell]], label: str) -> list[list[Cell]]:
    """Return the header that begins with a label, and all below it."""
    (start,) = [number for number, row in enumerate(rows) if row[:1] == [label]]
    return rows[start:]


@needs_program
def test_plan_use_orders_and_blocked_are_all_there(tmp_path: Path) -> None:
    """2 · 20.00 + 9.00 to Quillhaven, one pack of 3.50 + 6.00 to Varnik: 43.50 + 15.00 = 58.50."""
    write_plan(tmp_path / "plan.xlsx", answer(*ENGINES), replace=False)
    sheets = recalculated(tmp_path / "plan.xlsx")
    assert errors(sheets) == []
    assert list(sheets) == ["plan", "use", "orders", "Quillhaven", "Varnik", "blocked", "to ask for"]
    plan = rows_below(sheets["plan"], "engine")
    assert [row[0] for row in plan[1:]] == ["HC-1", "HC-2", "HC-3"]
    assert plan[3][plan[0].index("blocked")] == "yes"
    shelf = next(row for row in rows_below(sheets["use"], "part number") if "shelf" in row)
    assert shelf[:5] == ["B40", "paper, 0.40", "shelf", "A1", 1]
    total = rows_below(sheets["orders"], "supplier")[-1]
    assert total[:4] == ["Total", pytest.approx(43.5), pytest.approx(15.0), pytest.approx(58.5)]
    blocked = rows_below(sheets["blocked"], "engine")[1]
    assert (blocked[0], blocked[2]) == ("HC-3", 2)
    assert "brings the quench into its window" in str(blocked[1])


@needs_program
def test_what_to_ask_for_is_a_range_of_thickness(tmp_path: Path) -> None:
    """For 0.76 to 1.02 with deck 0.10 and base 0.40: a head gasket of 0.26 to 0.52 mm, which no list has as 0.60."""
    thick = replace(PARTS["H50"], thickness_mm=0.60)
    supply = replace(SUPPLY, parts={**PARTS, "H50": thick})
    request = Request((replace(ENGINES[0], cylinders=(replace(CYLINDER, deck_height_mm=0.10),)),), TODAY)
    task = make_task(request, supply)
    write_plan(tmp_path / "plan.xlsx", explained(request, task, solved(task)), replace=False)
    asked = rows_below(recalculated(tmp_path / "plan.xlsx")["to ask for"], "engine")[1]
    assert asked[:3] == ["HC-1", "front", "B40"]
    assert asked[3:5] == [pytest.approx(0.26), pytest.approx(0.52)]


@needs_program
def test_a_plan_without_anything_to_buy_or_blocked_says_so_and_has_no_empty_sheets(tmp_path: Path) -> None:
    supply = replace(SUPPLY, stock={**SUPPLY.stock, "H50": StockLine("H50", 1)}, offers=())
    request = Request(ENGINES[:1], TODAY)
    task = make_task(request, supply)
    write_plan(tmp_path / "plan.xlsx", explained(request, task, solved(task)), replace=False)
    sheets = recalculated(tmp_path / "plan.xlsx")
    assert list(sheets) == ["plan", "use"]
    assert [row[0] for row in sheets["plan"][2:4]] == ["Nothing to buy", "No engine is blocked"]


@needs_program
def test_a_plan_of_blocked_engines_alone_prints_no_empty_page(tmp_path: Path) -> None:
    write_plan(tmp_path / "plan.xlsx", answer(ENGINES[2]), replace=False)
    sheets = recalculated(tmp_path / "plan.xlsx")
    assert list(sheets) == ["plan", "blocked", "to ask for"]
    assert all(len(rows_below(rows, "engine")) > 1 for rows in sheets.values())
