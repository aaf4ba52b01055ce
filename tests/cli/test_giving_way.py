"""A late engine whose piece another one holds in the ledger: the plan says who would have to give way."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
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


def state_of(directory: Path, engine: str) -> tuple[str, dict[str, int], dict[str, int]]:
    lines = json.loads(call(directory, "shop", "board", "--today", "2027-02-01", "--json").stdout)
    (line,) = (line for line in lines if line["engine"] == engine)
    return line["state"], line["holds"], line["lacks"]


class TestUrgent:
    """`shop urgent` shows what J07's head gasket would bring to J09, and what J07 is then left with, before it asks."""

    TODAY = ("--today", "2027-02-01")

    @pytest.fixture(autouse=True)
    def _offered(self, tmp_path: Path) -> None:
        """Nine days away, for 16.40: too late for J09, early enough for J07."""
        shop_where_j07_holds_the_head_gasket(tmp_path)
        book = tmp_path / "prices.csv"
        book.write_text("supplier,part number,price,pack,lead days\nQuillhaven,HG-020,16.40,1,9\n", encoding="utf-8")
        assert call(tmp_path, "shop", "load", str(book), "--yes").exit_code == 0

    def test_nothing_is_done_before_it_is_answered(self, tmp_path: Path) -> None:
        result = call(tmp_path, "shop", "urgent", "J09", *self.TODAY)
        assert result.exit_code == 2
        assert "J09, due 20 Jan 2027: nothing finishes it as things stand." in result.stdout
        assert "release J07's HG-020, and J09 is ready today" in result.stdout
        assert "J07, due 1 May 2027: ready on 10 Feb 2027 with others." in result.stdout
        assert "the same command with --take J07" in result.stderr
        assert state_of(tmp_path, "J07")[0] == "ready to build"

    def test_once_taken_the_one_is_ready_and_the_other_keeps_the_rest(self, tmp_path: Path) -> None:
        result = call(tmp_path, "shop", "urgent", "J09", "--take", "J07", *self.TODAY)
        assert result.exit_code == 0, result.output
        assert "J07 lacks 1 of HG-020 now and is to be planned again" in result.stdout
        assert state_of(tmp_path, "J09") == ("ready to build", {"BG-040": 1, "HG-020": 1}, {})
        assert state_of(tmp_path, "J07") == ("to plan", {"BG-040": 1}, {"HG-020": 1})
        assert call(tmp_path, "shop", "undo", "--yes").exit_code == 0
        assert state_of(tmp_path, "J07")[0] == "ready to build"

    def test_what_could_be_done_is_given_as_json(self, tmp_path: Path) -> None:
        document = json.loads(call(tmp_path, "shop", "urgent", "J09", "--json", *self.TODAY).stdout)
        assert (document["engine"], document["ready_on"]) == ("J09", None)
        assert [(way["holder"], way["holder_ready_on"]) for way in document["ways"]] == [("J07", "2027-02-10")]

    def test_whose_pieces_do_not_help_is_said(self, tmp_path: Path) -> None:
        result = call(tmp_path, "shop", "urgent", "J09", "--take", "J01", *self.TODAY)
        assert (result.exit_code, "--take: found 'J01', expected one of J07" in result.stderr) == (2, True)

    def test_who_is_ready_needs_nobody_to_give_way(self, tmp_path: Path) -> None:
        result = call(tmp_path, "shop", "urgent", "J07", *self.TODAY)
        assert result.exit_code == 0
        assert "ready today without anybody giving way" in result.stdout

    def test_parts_that_left_the_shelf_are_not_made_urgent(self, tmp_path: Path) -> None:
        assert call(tmp_path, "shop", "use", "J07").exit_code == 0
        result = call(tmp_path, "shop", "urgent", "J07", *self.TODAY)
        assert (result.exit_code, "expected an engine that still waits for its parts" in result.stderr) == (2, True)


def test_an_engine_that_is_planned_anew_gives_way_to_nobody(tmp_path: Path) -> None:
    """With --replan J07's pieces are free, and J09, which is due first, may have them."""
    shop_where_j07_holds_the_head_gasket(tmp_path)
    answer = json.loads(call(tmp_path, "plan", "--replan", "--today", "2027-02-01", "--json").stdout)
    assert answer["giving_way"] == []
