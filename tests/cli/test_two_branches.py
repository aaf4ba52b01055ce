"""A day in a shop of two branches, told with commands alone: what each is told, and what lies where in the end."""

from __future__ import annotations

import json
import shlex
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner

from stackopt.cli import main

MILL = """\
part number,kind,fits,thickness (mm),opening (mm),on hand,unit cost,bin
BG-040,base gasket,K,0.40,,2,2.10,A1
HG-050,head gasket,K,0.50,93,0,8.90,A3
"""
KAI = """\
part number,kind,fits,thickness (mm),opening (mm),on hand,unit cost,bin
BG-040,base gasket,K,0.40,,4,2.10,R7
HG-050,head gasket,K,0.50,93,3,8.90,R9
"""
VARNIK = """\
supplier,part number,price,pack,lead days
Varnik,HG-050,30.00,1,6
"""
ENGINES = """\
engine,family,cylinder,bore (mm),stroke (mm),deck (mm),deck side,quench min (mm),quench max (mm),due
J-1,K,front,92,78,0.00,below,0.85,0.95,2027-03-10
J-1,K,rear,92,78,0.00,below,0.85,0.95,2027-03-10
"""
TODAY = "--today 2027-03-01"


@pytest.fixture(autouse=True)
def _shop(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    for name, text in (("mill.csv", MILL), ("kai.csv", KAI), ("varnik.csv", VARNIK), ("engines.csv", ENGINES)):
        (tmp_path / name).write_text(text)
    monkeypatch.chdir(tmp_path)
    for name in ("STACKOPT_LEDGER", "STACKOPT_AT"):
        monkeypatch.delenv(name, raising=False)
    monkeypatch.setenv("STACKOPT_WHO", "ana")


def call(line: str, code: int = 0, **more: str) -> str:
    result = CliRunner(env={"COLUMNS": "100", **more}).invoke(main, shlex.split(line))
    assert result.exit_code == code, result.output
    return result.output


def document(line: str) -> Any:
    result = CliRunner().invoke(main, shlex.split(f"{line} --json"))
    assert result.exit_code == 0, result.output
    return json.loads(result.stdout)


def open_shop() -> None:
    call("shop load mill.csv varnik.csv engines.csv --yes")
    call("shop branch 'Mill Street'")
    call("shop branch Nordkai --days 'Mill Street=2'")
    call("shop load kai.csv --at Nordkai --yes")


def where(part: str) -> dict[str, int]:
    (row,) = document(f"shop stock {part}")["parts"]
    return {place["branch"]: place["on_hand"] for place in row["places"]}


def test_a_gasket_in_the_other_town_is_two_days_away_and_saves_an_order() -> None:
    open_shop()
    answer = document(f"fit J-1 {TODAY}")
    (engine,) = answer["engines"]
    assert (engine["ready_on"], answer["orders"], answer["spend_cents"]) == ("2027-03-03", [], 0)
    assert [[piece["from"] for piece in each["pieces"]] for each in engine["cylinders"]] == [
        ["shelf", "branch Nordkai"]
    ] * 2
    held = call(f"fit J-1 {TODAY} --hold")
    assert "branch Nordkai, here 3 Mar 2027" in held
    assert "Nothing to buy: all of it is here, under way or at another branch" in held
    assert (
        "Nordkai has to send what is held there: stackopt shop transfer --due --from Nordkai --to 'Mill Street'."
        in held
    )
    (line,) = document(f"shop board {TODAY}")
    assert (line["at"], line["state"], line["ready_on"], line["holds"]) == (
        "Mill Street",
        "waiting for parts",
        "2027-03-03",
        {"BG-040": 2},
    )
    assert line["next"] == "have it brought: stackopt shop transfer --due --from Nordkai --to 'Mill Street'"
    (to_send,) = document(f"shop transfers --at Nordkai {TODAY}")["to_send"]
    assert to_send["bin"] == "R9"
    assert (to_send["part"], to_send["quantity"], to_send["for"], to_send["send_by"]) == (
        "HG-050",
        2,
        "J-1",
        "2027-03-08",
    )


def test_from_the_first_telephone_call_to_the_closed_crankcase() -> None:
    open_shop()
    call(f"fit J-1 {TODAY} --hold")
    assert "J-1 lacks 2 of HG-050" in call("shop use J-1", 2)
    assert "There on 3 Mar 2027: stackopt shop receive --order 1" in call(
        f"shop transfer --due --from Nordkai --to 'Mill Street' {TODAY}"
    )
    assert where("HG-050") == {"Nordkai": 1}
    refused = call(f"shop transfer HG-050 2 --from Nordkai --to 'Mill Street' {TODAY}", 2)
    assert "HG-050: found '1 on the shelf" in refused
    # Nordkai's list of the morning still says three; nobody puts the two back by loading it.
    assert "-2 transferred" in call("shop load kai.csv --at Nordkai --yes")
    assert "Nothing to store" in call("shop load mill.csv")
    assert "Held for J-1: 2 of HG-050" in call("shop receive --order 1")
    call("shop use J-1")
    assert (where("HG-050"), where("BG-040")) == ({"Nordkai": 1}, {"Nordkai": 4})
    assert "all as they were written" in call("shop verify")
    transferred = [row for row in document("shop history HG-050") if row["act"] == "transferred"]
    assert [(row["quantity"], row["branch"], row["order"]) for row in transferred] == [(2, "Nordkai", 1)]


def test_a_transfer_that_never_left_is_cancelled_and_another_that_was_a_mistake_undone() -> None:
    open_shop()
    call(f"fit J-1 {TODAY} --hold")
    call(f"shop transfer --due --from Nordkai --to 'Mill Street' {TODAY}")
    assert "lies at Nordkai again, held as before" in call("shop cancel 1")
    assert len(document(f"shop transfers {TODAY}")["to_send"]) == 1
    call(f"shop transfer BG-040 1 --from 'Mill Street' --to Nordkai {TODAY}", 2)
    call(f"shop transfer BG-040 1 --from Nordkai --to 'Mill Street' {TODAY}")
    call("shop undo")
    assert where("BG-040") == {"Mill Street": 2, "Nordkai": 4}


def test_where_nobody_said_how_long_it_takes_the_answer_says_so_and_counts_nothing() -> None:
    call("shop load mill.csv varnik.csv engines.csv --yes")
    call("shop branch 'Mill Street'")
    call("shop branch Nordkai")
    call("shop load kai.csv --at Nordkai --yes")
    answer = document(f"fit J-1 {TODAY}")
    assert answer["spend_cents"] == 6000
    told = [caution["text"] for caution in answer["cautions"] if caution["about"] == "arrival not stated"]
    assert told == [
        "At another branch, and how many days a transfer takes is not stated, so it counts for no engine: 4 of BG-040 "
        "at Nordkai, 3 of HG-050 at Nordkai. State it: stackopt shop branch BRANCH --days OTHER=N."
    ]
    assert "stackopt shop branch Nordkai --days 'Mill Street'=N" in call(
        "shop transfer HG-050 1 --from Nordkai --to 'Mill Street'", 2
    )


def test_each_branch_works_on_its_own_shelf_and_gives_its_own_list_back() -> None:
    open_shop()
    call("shop count HG-050=2", STACKOPT_AT="Nordkai")
    assert where("HG-050") == {"Nordkai": 2}
    assert "expected a branch of the shop: Mill Street, Nordkai" in call("shop count HG-050=2 --at Nordkay", 2)
    call("shop export kai-now.csv --at Nordkai")
    call("shop export mill-now.csv")
    assert ",2,8.9,R9" in Path("kai-now.csv").read_text()
    assert ",0,8.9,A3" in Path("mill-now.csv").read_text()
    assert "Nothing to store" in call("shop load kai-now.csv --at Nordkai")
    assert "Nothing to store" in call("shop load mill-now.csv")


def test_books_know_no_branch() -> None:
    open_shop()
    assert "expected the ledger alone, which knows the shop's branches" in call("plan --book mill.csv --at Nordkai", 2)


def test_a_shop_that_names_no_branch_sees_none() -> None:
    call("shop load mill.csv varnik.csv engines.csv --yes")
    (row, _) = document("shop stock")["parts"]
    assert list(row) == ["part", "on_hand", "held", "free", "on_order", "bin", "bins"]
    call("fit J-1 --hold")
    (line,) = document("shop board")
    assert "at" not in line
    assert all("branch" not in row for row in document("shop history HG-050"))
    assert document("shop transfers") == {"to_send": [], "under_way": []}


def test_a_branch_refills_its_shelf_by_its_own_levels_out_of_what_others_do_not_keep_then_by_an_order() -> None:
    """Mill Street wants 4 BG-040 and 3 HG-050 and has 2 and 0; Nordkai keeps 3 of its 4 BG-040, and all its HG-050."""
    Path("mill.csv").write_text(
        "part number,kind,fits,thickness (mm),opening (mm),on hand,min,max\n"
        "BG-040,base gasket,K,0.40,,2,3,4\nHG-050,head gasket,K,0.50,93,0,1,3\n"
    )
    Path("kai.csv").write_text(
        "part number,kind,fits,thickness (mm),opening (mm),on hand,min,max\n"
        "BG-040,base gasket,K,0.40,,4,1,3\nHG-050,head gasket,K,0.50,93,3,,\n"
    )
    Path("engines.csv").unlink()
    call("shop load mill.csv varnik.csv --yes")
    call("shop branch 'Mill Street'")
    call("shop branch Nordkai --days 'Mill Street=2'")
    call("shop load kai.csv --at Nordkai --yes")
    answer = document(f"restock --at 'Mill Street' {TODAY}")
    assert answer["transfers"] == [
        {"part": "BG-040", "quantity": 1, "from": "Nordkai", "to": "Mill Street", "here_on": "2027-03-03"}
    ]
    assert [(line["part"], line["packs"]) for order in answer["orders"] for line in order["lines"]] == [("HG-050", 3)]
    assert document(f"restock --at Nordkai {TODAY}")["orders"] == []
    assert "restock --at" not in call(f"restock --at Quay {TODAY}", code=2)
