"""Orders that are filled up, through the command: from books and from the ledger, and in whatever order rows stand."""

from __future__ import annotations

import json
import random
from pathlib import Path

import pytest
from click.testing import CliRunner

from stackopt.cli import main

# Z-1 to Z-4 fit no open engine; Z-2 is below its minimum, Z-3 was used three times, Z-4 is only listed.
STOCK = """\
part number,kind,fits,thickness (mm),opening (mm),on hand,unit cost,min,max
B-025,base gasket,KV82,0.25,,0,4.20,,
H-060,head gasket,KV82,0.60,83.0,2,21.00,,
Z-2,base gasket,ZZ99,0.25,,1,4.20,2,4
Z-3,base gasket,ZZ99,0.25,,30,4.20,,
Z-4,base gasket,ZZ99,0.25,,9,4.20,,
"""
OFFERS = """\
supplier,part number,price,lead days,kind,fits,thickness (mm)
Quillhaven,B-025,6.00,3,,,
Quillhaven,Z-1,3.00,3,base gasket,ZZ99,0.3
Quillhaven,Z-2,3.00,3,,,
Quillhaven,Z-3,3.00,3,,,
Quillhaven,Z-4,3.00,3,,,
"""
SUPPLIERS = """\
supplier,freight,free freight over,minimum order
Quillhaven,9.00,8.00,0.00
"""
USAGE = """\
part number,date,quantity
Z-3,2026-11-02,2
Z-3,2027-01-12,1
"""
ENGINES = """\
engine,family,cylinder,bore (mm),stroke (mm),deck (mm),deck side,quench min (mm),quench max (mm)
HC-1,KV82,front,82,78,0.02,below,0.76,1.02
"""
BOOKS = {"stock": STOCK, "offers": OFFERS, "suppliers": SUPPLIERS, "usage": USAGE, "engines": ENGINES}


def written(directory: Path, books: dict[str, str]) -> list[str]:
    for name, text in books.items():
        (directory / f"{name}.csv").write_text(text, encoding="utf-8")
    return [str(directory / f"{name}.csv") for name in books]


def without(book: str, *parts: str) -> str:
    return "".join(row for row in book.splitlines(keepends=True) if not any(part in row for part in parts))


def ordered(words: list[str]) -> tuple[int, dict[str, str]]:
    """Return what is paid, and why each line is bought."""
    result = CliRunner().invoke(main, [*words, "--today", "2027-02-01", "--json"])
    assert result.exit_code == 0, result.stderr
    answer = json.loads(result.stdout)
    assert answer["status"] == "proven"
    return answer["spend_cents"], {line["part"]: line["why"] for order in answer["orders"] for line in order["lines"]}


@pytest.mark.parametrize(
    ("gone", "filler"),
    [((), "Z-2"), (("Z-2",), "Z-3"), (("Z-2", "Z-3"), "Z-4"), (("Z-2", "Z-3", "Z-4"), "Z-1")],
)
def test_what_restock_orders_fills_first_then_what_is_used_then_what_is_listed(
    tmp_path: Path, gone: tuple[str, ...], filler: str
) -> None:
    """6.00 for B-025 and 3.00 for any other reach 8.00, so that 9.00 of freight are saved: 9.00 instead of 12.00."""
    books = written(tmp_path, {name: without(text, *gone) for name, text in BOOKS.items()})
    named = [word for book in books for word in ("--book", book)]
    for command in (["plan", *named], ["fit", f"{tmp_path}/engines.csv:HC-1", *named]):
        assert ordered(command) == (900, {"B-025": "needed", filler: "filler"})


def test_the_ledger_fills_as_the_books_do(tmp_path: Path) -> None:
    books = written(tmp_path, {name: text for name, text in BOOKS.items() if name != "usage"})
    ledger = ["--ledger", str(tmp_path / "shop.db")]
    loaded = CliRunner().invoke(main, ["shop", "load", *books, *ledger, "--yes"])
    assert loaded.exit_code == 0, loaded.stderr
    assert ordered(["plan", *ledger]) == (900, {"B-025": "needed", "Z-2": "filler"})
    assert ordered(["fit", "HC-1", *ledger]) == (900, {"B-025": "needed", "Z-2": "filler"})


@pytest.mark.parametrize("seed", range(3))
def test_the_order_of_rows_changes_no_filler(tmp_path: Path, seed: int) -> None:
    rng = random.Random(seed)
    books = {}
    for name, text in BOOKS.items():
        head, *rows = without(text, "Z-2", "Z-3", "Z-4").splitlines(keepends=True)
        more = "".join(f"Quillhaven,Z-1{n},3.00,3,base gasket,ZZ99,0.3\n" for n in range(9)) if name == "offers" else ""
        shuffled = [*rows, *more.splitlines(keepends=True)]
        rng.shuffle(shuffled)
        books[name] = head + "".join(shuffled)
    named = [word for book in written(tmp_path, {**books, "usage": USAGE}) for word in ("--book", book)]
    assert ordered(["plan", *named]) == (900, {"B-025": "needed", "Z-1": "filler"})


def test_a_minimum_order_that_another_familys_line_meets_blocks_nobody(tmp_path: Path) -> None:
    """Quillhaven sells one B-025 for 6.00 and asks for 50.00; fifteen Z lines at 3.00 come to 45.00."""
    terms = SUPPLIERS.replace("9.00,8.00,0.00", "0.00,,51.00")
    books = written(tmp_path, {**BOOKS, "suppliers": terms})
    cents, lines = ordered(["plan", *(word for book in books for word in ("--book", book))])
    assert (cents, lines["B-025"]) == (5100, "needed")


def test_the_printed_order_says_what_its_filler_is_of_use_for_and_what_it_saves(tmp_path: Path) -> None:
    """Without it 6.00 and 9.00 of freight are paid, with it 9.00: 6.00 less."""
    named = [word for book in written(tmp_path, BOOKS) for word in ("--book", book)]
    printed = CliRunner(env={"COLUMNS": "100"}).invoke(main, ["plan", *named, "--today", "2027-02-01"]).stdout
    said = " ".join(printed.split())
    assert "Z-2: 1 pack for no engine, to be reordered anyway, so that the freight of 9.00 is free: 6.00 less" in said
