"""`stackopt plan` asked again: by an earlier plan, with holds in the ledger, and from the same facts reordered."""

from __future__ import annotations

import json
import random
import shlex
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner, Result

from stackopt.cli import main

HEAD = "part number,kind,fits,thickness (mm),opening (mm),on hand,unit cost"
# B-040 and B-041 are alike but for the number.
STOCK = [
    "B-025,base gasket,KV82,0.25,,1,4.20",
    "B-040,base gasket,KV82,0.40,,1,3.90",
    "B-041,base gasket,KV82,0.40,,1,3.90",
]
HEADS = ["H-060,head gasket,KV82,0.60,83.0,3,21.00"]
ENGINE_HEAD = "engine,family,cylinder,bore (mm),stroke (mm),deck (mm),deck side,quench min (mm),quench max (mm)"
HC_1 = "HC-1,KV82,front,82,78,0.02,proud,0.76,1.02"
HC_2 = "HC-2,KV82,front,82,78,0.15,below,0.76,1.02"


@pytest.fixture(autouse=True)
def bench(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)
    monkeypatch.delenv("STACKOPT_LEDGER", raising=False)
    write([*STOCK, *HEADS], [HC_1])


def write(stock: list[str], engines: list[str]) -> None:
    Path("stock.csv").write_text("\n".join([HEAD, *stock, ""]))
    Path("engines.csv").write_text("\n".join([ENGINE_HEAD, *engines, ""]))


def call(line: str) -> Result:
    return CliRunner(env={"COLUMNS": "80"}).invoke(main, shlex.split(f"{line} --today 2027-02-01"))


def bases(result: Result) -> dict[str, str]:
    document: dict[str, Any] = json.loads(result.stdout)
    return {each["engine"]: each["cylinders"][0]["pieces"][0]["part"] for each in document["engines"]}


BOOKS = "--book stock.csv --book engines.csv --json"


@pytest.mark.parametrize("had", ["B-040", "B-041"])
def test_what_an_earlier_plan_gave_is_kept_where_that_costs_nothing(had: str) -> None:
    """HC-2 has 0.15 + 0.40 + 0.60 = 1.15 with 0.40, too wide: it needs B-025, and HC-1 gets one of the two alike."""
    write([*STOCK, *HEADS], [HC_1, HC_2])
    piece = {"part": had, "role": "base gasket"}
    cylinder = {"cylinder": "front", "pieces": [piece, {"part": "H-060", "role": "head gasket"}]}
    Path("plan.json").write_text(json.dumps({"engines": [{"engine": "HC-1", "cylinders": [cylinder]}]}))
    result = call(f"plan {BOOKS} --previous plan.json")
    assert bases(result) == {"HC-1": had, "HC-2": "B-025"}
    reached = {each["objective"]: each["value"] for each in json.loads(result.stdout)["passes"]}
    assert list(reached)[-2:] == ["changes", "shelf-value"]
    assert reached["changes"] == 0


def test_an_answer_can_be_given_back_as_it_was_printed() -> None:
    first = call(f"plan {BOOKS}")
    Path("plan.json").write_text(first.stdout)
    assert bases(call(f"plan {BOOKS} --previous plan.json")) == bases(first)


@pytest.mark.parametrize("text", ["", "[]", "{}", '{"engines": [{"engine": "HC-1"}]}', '{"engines": 3}'])
def test_a_file_that_is_no_plan_is_refused(text: str) -> None:
    Path("plan.json").write_text(text)
    result = call(f"plan {BOOKS} --previous plan.json")
    assert (result.exit_code, result.stdout) == (2, "")
    assert result.stderr.startswith("plan.json: found ")
    assert "expected an answer of stackopt plan --json" in result.stderr


def test_what_is_held_is_kept_unless_planned_anew() -> None:
    """HC-1 holds B-025, the only base that HC-2 can use; planned anew, HC-1 takes 0.40 and both are finished."""
    assert call_plain("shop load stock.csv engines.csv --yes").exit_code == 0
    call("plan --hold")
    write([*STOCK, *HEADS], [HC_1, HC_2])
    assert call_plain("shop load engines.csv --yes").exit_code == 0
    kept = json.loads(call("plan --json").stdout)
    assert [(each["engine"], each["blocked"]) for each in kept["engines"]] == [("HC-2", True)]
    anew = call("plan --replan --hold --json")
    assert anew.exit_code == 0, anew.stderr
    assert bases(anew)["HC-2"] == "B-025"
    assert bases(anew)["HC-1"] in ("B-040", "B-041")
    stock = json.loads(call_plain("shop stock --json").stdout)
    held = {each["part"]: each["held"] for each in stock["parts"]}
    assert (held["B-025"], held["B-040"] + held["B-041"], held["H-060"]) == (1, 1, 2)


def call_plain(line: str) -> Result:
    return CliRunner(env={"COLUMNS": "80"}).invoke(main, shlex.split(line))


def test_books_hold_nothing_to_plan_anew() -> None:
    result = call(f"plan {BOOKS} --replan")
    assert result.exit_code == 2
    assert "--replan: found '--book', expected the ledger alone" in result.stderr


def test_the_same_facts_in_another_order_give_the_same_answer() -> None:
    """Equal parts, equal engines: ties fall the same way however the rows stand."""
    stock = [*(line.replace(",,1,", ",,2,") for line in STOCK), *HEADS, "H-061,head gasket,KV82,0.60,83.0,2,21.00"]
    engines = [HC_1, HC_2, HC_1.replace("HC-1", "HC-3"), HC_1.replace("HC-1", "HC-4")]
    write(stock, engines)
    first = bases(call(f"plan {BOOKS}"))
    for seed in range(6):
        random.Random(seed).shuffle(stock)
        write(stock, engines)
        assert bases(call(f"plan {BOOKS}")) == first
