"""`stackopt restock` as it is called."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

from click.testing import CliRunner

from stackopt.cli import main

STOCK = """\
part number,kind,fits,thickness (mm),opening (mm),on hand,unit cost,min,max
B-025,base gasket,KV82,0.25,,1,4.20,2,6
B-040,base gasket,KV82,0.40,,2,3.90,,
B-090,base gasket,KV82,0.90,,2,3.90,,
H-060,head gasket,KV82,0.60,83.0,3,21.00,,
"""
OFFERS = """\
supplier,part number,supplier part number,price,pack,lead days
Quillhaven,B-025,QH 25,4.10,1,14
Quillhaven,B-040,QH 40,15.00,5,14
"""
USAGE = """\
part number,date,quantity
H-060,2024-01-15,1
B-040,2025-02-03,1
B-040,2025-08-20,1
B-040,2026-04-11,1
"""
ENGINES = """\
engine,family,cylinder,bore (mm),stroke (mm),deck (mm),deck side,quench min (mm),quench max (mm)
HC-1,KV82,front,82,78,0.10,proud,0.76,1.02
HC-1,KV82,rear,82,78,0.10,proud,0.76,1.02
HC-2,KV82,front,82,78,0.10,proud,0.76,1.02
"""
BLOCKED = ENGINES + "HC-3,KV82,front,82,78,2.50,below,0.76,1.02\n"


def restock(directory: Path, *words: str, engines: str = ENGINES) -> Any:
    texts = {"stock.csv": STOCK, "offers.csv": OFFERS, "usage.csv": USAGE, "engines.csv": engines}
    books = []
    for name, text in texts.items():
        (directory / name).write_text(text, encoding="utf-8")
        books += ["--book", str(directory / name)]
    return CliRunner(env={"COLUMNS": "80"}).invoke(main, ["restock", "--today", "2026-06-01", *books, *words])


def test_json_is_as_the_contract_says(tmp_path: Path) -> None:
    result = restock(tmp_path, "--json")
    answer = json.loads(result.stdout)
    assert (result.exit_code, result.stderr) == (0, "")
    assert list(answer["parts"][0])[:8] == [
        "part",
        "free",
        "needed",
        "on_order",
        "reorder_point",
        "order_up_to",
        "order_quantity",
        "rule",
    ]
    lines = {line["part"]: line for line in answer["parts"]}
    assert (lines["B-025"]["reorder_point"], lines["B-025"]["order_up_to"]) == (2, 6)
    assert (lines["B-040"]["free"], lines["B-040"]["needed"], lines["B-040"]["order_quantity"]) == (2, 3, 5)
    assert lines["B-040"]["rule"].startswith(
        "2 free, 3 needed by HC-1 and HC-2, reorder point 1 at 95 % (3 used in 730"
    )
    assert lines["B-090"]["rule"].endswith("proposed for dropping")
    (order,) = answer["orders"]
    assert (order["supplier"], order["freight_cents"]) == ("Quillhaven", 0)
    assert {line["part"]: (line["packs"], line["line_cents"]) for line in order["lines"]} == {
        "B-025": (5, 2050),
        "B-040": (1, 1500),
    }


def test_tables_show_order_reason_and_what_to_drop(tmp_path: Path) -> None:
    printed = " ".join(restock(tmp_path).stdout.split())
    assert "To order, what runs out first" in printed
    assert "B-025 5 1 free, minimum 2, maximum 6 of the stock list" in printed
    assert "Order from Quillhaven" in printed
    assert "Dead stock: " in printed


def test_a_blocked_engine_is_told_and_asked_for(tmp_path: Path) -> None:
    result = restock(tmp_path, engines=BLOCKED)
    assert result.exit_code == 1
    assert "1 open engine cannot be finished: HC-3" in result.stdout


def test_a_part_fits_no_family_of_an_engine_is_a_wrong_call(tmp_path: Path) -> None:
    result = restock(tmp_path, engines=ENGINES.replace("KV82", "KV28"))
    assert (result.exit_code, result.stdout) == (2, "")
    assert "KV28" in result.stderr


def test_books_without_engines_will_do(tmp_path: Path) -> None:
    (tmp_path / "stock.csv").write_text(STOCK, encoding="utf-8")
    result = CliRunner().invoke(main, ["restock", "--book", str(tmp_path / "stock.csv"), "--json"])
    assert result.exit_code == 0
    assert json.loads(result.stdout)["orders"] == []


def test_a_service_level_of_one_is_a_wrong_call(tmp_path: Path) -> None:
    result = restock(tmp_path, "--service-level", "1")
    assert result.exit_code == 2
    assert "0<x<1" in result.stderr


def test_the_ledger_is_read_without_books(tmp_path: Path) -> None:
    """Loaded from the same lists, without the record of usage: the stock list's own levels alone are due."""
    restock(tmp_path)
    ledger = ["--ledger", str(tmp_path / "shop.db")]
    lists = [str(tmp_path / name) for name in ("stock.csv", "offers.csv")]
    assert CliRunner().invoke(main, ["shop", "load", *lists, *ledger, "--yes"]).exit_code == 0
    result = CliRunner().invoke(main, ["restock", "--json", "--today", "2026-06-01", *ledger])
    (order,) = json.loads(result.stdout)["orders"]
    assert [line["part"] for line in order["lines"]] == ["B-025"]


def test_orders_are_drafted_once_and_counted_from_then_on(tmp_path: Path) -> None:
    """B-025 stands at 1, minimum 2, maximum 6: five are drafted; with them on their way nothing more is due."""
    restock(tmp_path)
    ledger = ["--ledger", str(tmp_path / "shop.db")]
    lists = [str(tmp_path / name) for name in ("stock.csv", "offers.csv")]
    CliRunner().invoke(main, ["shop", "load", *lists, *ledger, "--yes"])
    command = ["restock", "--draft", "--json", "--today", "2026-06-01", *ledger]
    drafted = CliRunner().invoke(main, command)
    assert drafted.stderr == "Order 1 is drafted: stackopt shop send 1.\n"
    again = CliRunner().invoke(main, command)
    assert again.stderr == "Nothing to draft.\n"
    (line,) = [line for line in json.loads(again.stdout)["parts"] if line["part"] == "B-025"]
    assert (line["on_order"], line["order_quantity"]) == (5, 0)


def test_orders_out_of_books_are_not_drafted(tmp_path: Path) -> None:
    result = restock(tmp_path, "--draft")
    assert (result.exit_code, result.stdout) == (2, "")
    assert "--draft: found '--book', expected the ledger alone" in result.stderr


def test_each_line_says_why_it_is_bought_and_for_whom(tmp_path: Path) -> None:
    """HC-1 and HC-2 lack one B-040, sold in packs of 5; B-025 is due by its minimum."""
    answer = json.loads(restock(tmp_path, "--json").stdout)
    lines = {line["part"]: line for order in answer["orders"] for line in order["lines"]}
    assert (lines["B-040"]["why"], lines["B-040"]["for"], lines["B-040"]["filler_packs"]) == (
        "needed",
        ["HC-1", "HC-2"],
        0,
    )
    parts = {part["part"]: part for part in answer["parts"]}
    assert next(iter(parts)) == "B-040"
    assert (parts["B-040"]["lacking"], parts["B-040"]["runs_out"]) == (1, "2026-06-01")
    assert parts["B-040"]["quantity_rule"].endswith("pack of 5")
    assert (parts["B-090"]["idle"], parts["B-090"]["idle_cents"]) == (1, 390)
    assert parts["B-090"]["idle_rule"].startswith("keep 1, sell or send back 1, 3.90: at 0.25 a year")


def test_a_part_that_only_makes_freight_free_is_a_filler(tmp_path: Path) -> None:
    """Freight 15.00 is waived from 30.00: 5 of B-025 come to 20.50, one more and one full B-090 at 6.00 to 30.60."""
    texts = {
        "stock.csv": STOCK.replace("B-090,base gasket,KV82,0.90,,2", "B-090,base gasket,KV82,0.90,,9"),
        "offers.csv": OFFERS + "Quillhaven,B-090,,6.00,1,14\n",
        "suppliers.csv": "supplier,freight,free freight over\nQuillhaven,15.00,30.00\n",
    }
    books = []
    for name, text in texts.items():
        (tmp_path / name).write_text(text, encoding="utf-8")
        books += ["--book", str(tmp_path / name)]
    result = CliRunner().invoke(main, ["restock", "--json", "--today", "2026-06-01", *books])
    (order,) = json.loads(result.stdout)["orders"]
    lines = {line["part"]: (line["why"], line["packs"], line["filler_packs"]) for line in order["lines"]}
    assert (order["freight_cents"], order["total_cents"]) == (0, 3060)
    assert lines == {"B-025": ("needed", 6, 1), "B-090": ("filler", 1, 1)}


def test_how_often_the_shelf_is_looked_at_is_said_once_for_a_ledger(tmp_path: Path) -> None:
    restock(tmp_path)
    ledger = ["--ledger", str(tmp_path / "shop.db")]
    lists = [str(tmp_path / name) for name in ("stock.csv", "offers.csv")]
    CliRunner().invoke(main, ["shop", "load", *lists, *ledger, "--yes"])

    def days(*words: str) -> int:
        answered = CliRunner().invoke(main, ["restock", "--json", *ledger, *words])
        return int(json.loads(answered.stdout)["review_days"])

    assert [days(), days("--review-days", "14"), days()] == [7, 14, 14]
    (tmp_path / "restock.toml").write_text("review_days = often\n", encoding="utf-8")
    broken = CliRunner().invoke(main, ["restock", *ledger])
    assert (broken.exit_code, broken.stdout) == (2, "")
    assert "restock.toml" in broken.stderr


def test_what_cannot_be_remembered_is_a_wrong_call(tmp_path: Path) -> None:
    restock(tmp_path)
    ledger = ["--ledger", str(tmp_path / "shop.db")]
    lists = [str(tmp_path / name) for name in ("stock.csv", "offers.csv")]
    CliRunner().invoke(main, ["shop", "load", *lists, *ledger, "--yes"])
    (tmp_path / "restock.toml").symlink_to(tmp_path / "nowhere" / "restock.toml")
    result = CliRunner().invoke(main, ["restock", "--review-days", "3", *ledger])
    assert (result.exit_code, result.stdout) == (2, "")
    assert "a file that can be written" in result.stderr


def test_books_count_with_a_week_and_say_so(tmp_path: Path) -> None:
    printed = " ".join(restock(tmp_path).stdout.split())
    assert "looks at the shelf every 7 days; say how often your shop does: --review-days DAYS" in printed
    assert "--review-days DAYS" not in restock(tmp_path, "--review-days", "3").stdout
