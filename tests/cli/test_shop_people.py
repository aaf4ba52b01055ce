"""`stackopt shop who`: two people and an owner on the command line, and what each is refused."""

from __future__ import annotations

import json
import shlex
from pathlib import Path

import pytest
from click.testing import CliRunner, Result

from stackopt.cli import main

STOCK = "part number,kind,fits,thickness (mm),on hand\nB-040,base gasket,KV82,0.40,2\n"


@pytest.fixture(autouse=True)
def _shop(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    (tmp_path / "stock.csv").write_text(STOCK)
    monkeypatch.chdir(tmp_path)
    monkeypatch.delenv("STACKOPT_LEDGER", raising=False)
    monkeypatch.delenv("STACKOPT_WHO", raising=False)
    for line in ("load stock.csv --yes", "who ana take order undo settle", "who ben take"):
        assert call(line, "ana").exit_code == 0


def call(line: str, who: str) -> Result:
    return CliRunner(env={"COLUMNS": "80"}).invoke(main, [*shlex.split(f"shop {line}"), "--who", who])


def test_whom_the_shop_knows_is_listed() -> None:
    assert json.loads(call("who --json", "ben").stdout) == [
        {"name": "ana", "may": ["look", "take", "order", "undo", "settle"]},
        {"name": "ben", "may": ["look", "take"]},
    ]


def test_who_may_not_is_told_who_may_and_how_he_could() -> None:
    result = call("count B-040=1", "ben")
    assert (result.exit_code, result.stdout) == (2, "")
    assert result.stderr == (
        "ben: found 'count', expected somebody who may settle. Nothing was stored. ben may look and take. Ask ana; or "
        "have ana allow it: stackopt shop who ben take settle\n"
    )
    assert call("receive B-040=1", "ben").exit_code == 0


@pytest.mark.parametrize("line", ["board", "stock", "history", "orders", "thickness", "export out.csv"])
def test_nothing_is_shown_to_a_stranger(line: str) -> None:
    result = call(line, "cem")
    assert (result.exit_code, result.stdout) == (2, "")
    assert "The shop knows ana, ben: say who you are, --who NAME or STACKOPT_WHO." in result.stderr
    assert call(line, "ben").exit_code == 0


def test_plan_and_restock_show_a_stranger_nothing_either() -> None:
    for line in ("plan", "restock", "range"):
        result = CliRunner().invoke(main, [line], env={"STACKOPT_WHO": "cem"})
        assert (result.exit_code, "found 'look', expected somebody whom the shop knows" in result.stderr) == (2, True)


def test_the_last_name_forgotten_lets_everybody_do_everything_again() -> None:
    assert "at least one who may settle" in call("who ana --forget", "ana").stderr
    assert call("who ben --forget", "ana").exit_code == 0
    assert "Everybody may do everything again." in call("who ana --forget", "ana").stdout
    assert call("count B-040=1", "cem").exit_code == 0
