"""`stackopt shop ask` and `answered`: what stands in no list is asked for, and what was said counts from then on."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from tests.cli.test_board import HEADS, board, call, rows_of, said

STOCK = """\
part number,kind,fits,thickness (mm),thickness tolerance (mm),opening (mm),on hand,unit cost,bin
B-040,base gasket,KV82,0.40,0.03,,4,3.90,A1
H-080,head gasket,KV82,0.80,0.05,83.0,4,21.00,A2
"""
PRICES = """\
supplier,part number,kind,fits,thickness (mm),opening (mm),price,pack,lead days
Varnik,H-070,head gasket,KV82,0.70,83.0,24.00,1,5
Dorfmoos,H-065,head gasket,RK88,0.65,89.0,24.00,1,5
Quillhaven,B-040,base gasket,KV82,0.40,,6.40,2,5
"""


@pytest.fixture(autouse=True)
def bench(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """One engine that a head gasket of 0.45 to 0.55 mm would finish: 0 + 0.40 + 0.50 = 0.90 mm, its aim."""
    (tmp_path / "stock.csv").write_text(STOCK)
    (tmp_path / "prices.csv").write_text(PRICES)
    (tmp_path / "engines.csv").write_text(HEADS + rows_of("HC-1", "2030-02-12"))
    monkeypatch.chdir(tmp_path)
    monkeypatch.delenv("STACKOPT_LEDGER", raising=False)
    monkeypatch.setenv("STACKOPT_WHO", "ana")
    said("shop load stock.csv prices.csv engines.csv --yes")
    return tmp_path


def asked() -> list[dict[str, object]]:
    found: list[dict[str, object]] = json.loads(said("shop ask --json --today 2029-12-01"))
    return found


def test_what_is_missing_is_asked_of_those_who_list_the_like_for_the_family() -> None:
    base, head = asked()
    assert (base["supplier"], base["kind"], base["thickness_mm"]) == ("Quillhaven", "base gasket", [[0.05, 0.25]])
    assert head == {
        "supplier": "Varnik",
        "kind": "head gasket",
        "family": "KV82",
        "thickness_mm": [[0.45, 0.55]],
        "best_mm": 0.5,
        "opening_mm": 83,
        "pieces": 2,
        "by": "2030-02-12",
        "for": ["HC-1"],
    }
    told = said("shop ask --today 2029-12-01")
    assert "Ring Varnik\n  2 head gaskets for family KV82, opening 83.0 mm\n" in told
    assert told.endswith("HC-1: any one of these will do.\n")
    assert "best 0.500 mm, 0.020 in; 0.45 mm to 0.55 mm would do" in told


def test_an_answer_is_an_offer_at_once_and_the_engine_is_to_plan_again() -> None:
    assert board()["HC-1"]["state"] == "blocked"
    said(
        "shop answered Varnik H-050 --kind 'head gasket' --fits KV82 --thickness '0.50 mm' --opening '83 mm' "
        "--price 26.50 --days 12 --today 2029-12-01"
    )
    assert board()["HC-1"]["state"] == "to plan"
    assert asked() == []
    answer = json.loads(said("fit HC-1 --hold --json --today 2029-12-02"))
    (order,) = answer["orders"]
    (line,) = order["lines"]
    assert (order["supplier"], line["part"], line["line_cents"], line["special_order"]) == (
        "Varnik",
        "H-050",
        5300,
        True,
    )
    assert "26.50" in said("shop prices H-050")


def test_an_old_answer_is_shown_as_old() -> None:
    said(
        "shop answered Varnik H-050 --kind 'head gasket' --fits KV82 --thickness '0.50 mm' --opening '83 mm' "
        "--price 26.50 --days 12 --today 2029-01-01"
    )
    old = call("fit HC-1 --json --today 2029-12-02")
    assert "H-050: Varnik told ana its price 335 days ago, which is old" in old.stderr


def test_the_suppliers_own_list_does_not_end_what_was_told_until_it_has_the_part(bench: Path) -> None:
    said("shop answered Varnik H-050 --kind 'head gasket' --fits KV82 --thickness '0.50 mm' --price 26.50 --days 12")
    said("shop load prices.csv --yes")
    assert json.loads(said("fit HC-1 --json --today 2029-12-02"))["orders"]
    (bench / "prices.csv").write_text(PRICES + "Varnik,H-050,head gasket,KV82,0.50,83.0,25.00,1,5\n")
    said("shop load prices.csv --yes")
    (order,) = json.loads(said("fit HC-1 --json --today 2029-12-02"))["orders"]
    assert order["lines"][0]["line_cents"] == 5000


def test_a_no_is_remembered_and_others_are_asked() -> None:
    said("shop answered Varnik --does-not-make 'head gasket' KV82 '0.50 mm'")
    assert [each["supplier"] for each in asked()] == ["Quillhaven", ""]
    assert "all of them said no" in said("shop ask --today 2029-12-01")
    said("shop undo")
    assert [each["supplier"] for each in asked()] == ["Quillhaven", "Varnik"]


@pytest.mark.parametrize(
    ("line", "expected"),
    [
        ("shop answered Varnik H-050 --price 26 --days 3", "Say what it is: --kind, --fits, --thickness is missing"),
        ("shop answered Varnik H-080 --days 3", "--price is missing"),
        ("shop answered Varnik", "Say which part was offered"),
        ("shop answered Varnik H-080 --price 0 --days 3", "expected an amount above 0"),
        ("shop answered Varnik H-080 --price 26 --days 3 --thickness 0.5", "unit"),
        (
            "shop answered Varnik H-080 --price 26 --days 3 --thickness '0.50 mm'",
            "expected a thickness of 0.8 mm, as",
        ),
        ("shop answered Varnik H-080 --does-not-make 'head gasket' KV82 '0.5 mm'", "A no has no part"),
        ("shop answered Varnik --does-not-make gasket KV82 '0.5 mm'", "'base gasket', 'head gasket', 'base shim'"),
    ],
)
def test_what_cannot_be_meant_is_refused_and_says_what_to_say(line: str, expected: str) -> None:
    result = call(line)
    assert result.exit_code == 2
    assert expected in result.stderr
    assert not result.stdout
