"""`stackopt plan` as it is called."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from click.testing import CliRunner

from stackopt.cli import main

BOOK = """\
part number,kind,fits,thickness (mm),opening (mm),on hand,unit cost
B-025,base gasket,KV82,0.25,,1,4.20
B-040,base gasket,KV82,0.40,,2,3.90
H-060,head gasket,KV82,0.60,83.0,2,21.00
"""
ENGINES = """\
engine,family,cylinder,bore (mm),stroke (mm),deck (mm),deck side,quench min (mm),quench max (mm)
HC-1,KV82,front,82,78,0.02,below,0.76,1.02
HC-2,KV82,front,82,78,0.15,below,0.76,1.02
"""


def plan(directory: Path, *words: str):
    (directory / "stock.csv").write_text(BOOK, encoding="utf-8")
    (directory / "engines.csv").write_text(ENGINES, encoding="utf-8")
    books = [word for name in ("stock.csv", "engines.csv") for word in ("--book", str(directory / name))]
    return CliRunner(env={"COLUMNS": "80"}).invoke(main, ["plan", *books, *words])


def test_the_only_thin_base_goes_to_the_engine_that_needs_it(tmp_path: Path) -> None:
    """HC-2 with B-040: 0.15 + 0.40 + 0.60 = 1.15, past 1.02; HC-1 has 1.02 with it, on the edge."""
    answer = json.loads(plan(tmp_path, "--json").stdout)
    bases = {engine["engine"]: engine["cylinders"][0]["pieces"][0]["part"] for engine in answer["engines"]}
    assert bases == {"HC-1": "B-040", "HC-2": "B-025"}


def test_a_line_a_cylinder_is_printed(tmp_path: Path) -> None:
    result = plan(tmp_path)
    assert (result.exit_code, result.stderr) == (0, "")
    assert "HC-1 front B-040 + H-060 1.020 mm" in " ".join(result.stdout.split())


def test_books_without_engines_are_a_wrong_call(tmp_path: Path) -> None:
    (tmp_path / "stock.csv").write_text(BOOK, encoding="utf-8")
    result = CliRunner().invoke(main, ["plan", "--book", str(tmp_path / "stock.csv")])
    assert (result.exit_code, result.stdout) == (2, "")
    assert "expected a book with an engines sheet" in result.stderr


OFFERS = """\
supplier,part number,price,lead days
Quillhaven,B-025,6.00,3
"""


def with_offers(directory: Path, *words: str):
    (directory / "offers.csv").write_text(OFFERS, encoding="utf-8")
    return plan(directory, "--book", str(directory / "offers.csv"), *words)


def test_a_trade_off_is_a_table_a_drawing_and_a_proof(tmp_path: Path) -> None:
    """With a second B-025, for 6.00, HC-1 comes from 1.02, on the edge, to 0.87: 0.02 off the middle, 0.89."""
    result = with_offers(tmp_path, "--trade-off", "spend,closeness")
    assert (result.exit_code, result.stderr) == (0, "")
    said = " ".join(result.stdout.split())
    assert "The trade-off: money paid now against distance from the aims" in said
    assert "1 0.00 1.846" in said
    assert "2 6.00 1.000" in said
    assert "+6.00, -0.846" in said
    assert "one of these is as good or better in both" in said
    assert max(map(len, result.stdout.splitlines())) <= 80


def test_a_trade_off_in_json_stands_beside_the_rest(tmp_path: Path) -> None:
    answer = json.loads(with_offers(tmp_path, "--trade-off", "spend,closeness", "--json").stdout)
    front = answer["trade_off"]
    assert (front["objectives"], front["complete"], front["open_between"]) == (["spend", "closeness"], True, [])
    spends = [{each["objective"]: each["value"] for each in point["passes"]}["spend"] for point in front["points"]]
    assert spends == [0, 600]
    assert [point["proven"] for point in front["points"]] == [True, True]
    assert [len(point["engines"]) for point in front["points"]] == [2, 2]
    assert "trade_off" not in json.loads(with_offers(tmp_path, "--json").stdout)


def test_where_one_answer_is_best_in_both_there_is_nothing_to_trade(tmp_path: Path) -> None:
    result = plan(tmp_path, "--trade-off", "spend,orders")
    assert "best in both at once, so there is nothing to trade" in " ".join(result.stdout.split())


@pytest.mark.parametrize("pair", ["spend", "spend,spend", "spend,sped", "spend,wait,orders", ",", "blocked,spend"])
def test_what_is_no_pair_is_a_wrong_call(tmp_path: Path, pair: str) -> None:
    result = plan(tmp_path, "--trade-off", pair)
    assert (result.exit_code, result.stdout) == (2, "")
    assert "expected two of special-orders, spend, closeness" in " ".join(result.stderr.split())


def test_help_says_what_is_made_least() -> None:
    assert "fewest engines are left blocked" in CliRunner().invoke(main, ["plan", "--help"]).stdout


@pytest.mark.parametrize("name", ["plan.png", "plan.svg", "plan.pdf"])
def test_a_picture_is_drawn_and_replaced_only_when_told_to(tmp_path: Path, name: str) -> None:
    """Each kind begins as its format says it does."""
    starts = {".png": b"\x89PNG", ".svg": b"<?xml", ".pdf": b"%PDF"}
    picture = tmp_path / name
    assert plan(tmp_path, "--picture", str(picture), "--trade-off", "spend,closeness").exit_code == 0
    assert picture.read_bytes().startswith(starts[picture.suffix])
    refused = plan(tmp_path, "--picture", str(picture))
    assert (refused.exit_code, refused.stdout) == (2, "")
    assert plan(tmp_path, "--picture", str(picture), "--force").exit_code == 0
    assert plan(tmp_path, "--picture", str(tmp_path / "plan.bmp")).exit_code == 2


def test_a_previous_answer_is_kept_and_counted(tmp_path: Path) -> None:
    before = tmp_path / "before.json"
    before.write_text(plan(tmp_path, "--json").stdout, encoding="utf-8")
    answer = json.loads(plan(tmp_path, "--previous", str(before), "--json").stdout)
    assert [each["value"] for each in answer["passes"] if each["objective"] == "changes"] == [0]
    assert "pieces other than in the previous plan" in plan(tmp_path, "--previous", str(before)).stdout


def test_a_file_that_is_no_answer_is_refused(tmp_path: Path) -> None:
    other = tmp_path / "other.json"
    for text, found in (("[1]", "another JSON document"), ("no json", "no JSON document")):
        other.write_text(text, encoding="utf-8")
        result = plan(tmp_path, "--previous", str(other))
        assert (result.exit_code, result.stdout) == (2, "")
        assert found in result.stderr
    assert plan(tmp_path, "--previous", str(tmp_path / "none.json")).exit_code == 2
