"""A late engine whose piece another one holds in the ledger: the plan says who would have to give way."""

from __future__ import annotations

import json
from pathlib import Path

from click.testing import CliRunner, Result

from stackopt.cli import main

STOCK = """\
part number,kind,fits,thickness (mm),opening (mm),on hand,unit cost
BG-040,base gasket,KV82,0.40,,2,3.90
HG-020,head gasket,KV82,0.50,89.0,1,21.00
"""
ENGINES = """\
engine,family,cylinder,bore (mm),stroke (mm),deck (mm),deck side,quench min (mm),quench max (mm),due
J07,KV82,front,88,82,0.02,below,0.76,1.02,2027-05-01
J09,KV82,front,88,82,0.02,below,0.76,1.02,2027-01-20
"""


def call(directory: Path, *words: str) -> Result:
    ledger = ["--ledger", str(directory / "shop.db")]
    return CliRunner(env={"COLUMNS": "100"}).invoke(main, [*words, *ledger])


def shop_where_j07_holds_the_head_gasket(directory: Path) -> None:
    for name, text in (("stock", STOCK), ("engines", ENGINES)):
        (directory / f"{name}.csv").write_text(text, encoding="utf-8")
    books = [str(directory / "stock.csv"), str(directory / "engines.csv")]
    assert call(directory, "shop", "load", *books, "--yes").exit_code == 0
    assert call(directory, "fit", "J07", "--hold", "--today", "2027-02-01").exit_code == 0


def test_the_plan_says_whose_piece_would_finish_a_late_engine(tmp_path: Path) -> None:
    """J09 was due on 20 January; J07, due in May, holds the only head gasket."""
    shop_where_j07_holds_the_head_gasket(tmp_path)
    for words in (["plan"], ["fit", "J09"]):
        result = call(tmp_path, *words, "--today", "2027-02-01", "--json")
        assert result.exit_code == 1, result.stderr
        assert json.loads(result.stdout)["giving_way"] == [
            {"engine": "J09", "holder": "J07", "pieces": {"HG-020": 1}, "ready_on": "2027-02-01", "spend_cents": 0}
        ]
    printed = " ".join(call(tmp_path, "plan", "--today", "2027-02-01").stdout.split())
    assert "release J07's HG-020, and J09 is ready today; J07 then lacks that" in printed


def test_an_engine_that_is_planned_anew_gives_way_to_nobody(tmp_path: Path) -> None:
    """With --replan J07's pieces are free, and J09, which is due first, may have them."""
    shop_where_j07_holds_the_head_gasket(tmp_path)
    answer = json.loads(call(tmp_path, "plan", "--replan", "--today", "2027-02-01", "--json").stdout)
    assert answer["giving_way"] == []
