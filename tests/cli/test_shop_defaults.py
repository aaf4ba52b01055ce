"""The tolerance that a shop states once for every gasket whose list states none."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest

import stackopt
from tests.cli.test_fit import ENGINE, bench, call, refusal
from tests.web.conftest import app_on
from tests.web.presses import Browser

__all__ = ["bench"]
ENGINES = """\
engine,family,cylinder,bore (mm),stroke (mm),deck (mm),deck side,quench min (mm),quench max (mm)
HC-1,KV82,front,82,78,0.11,proud,0.76,1.02
"""
SAID = '[gasket]\ntolerance = "0.025 mm"\n'


def answer(*words: str) -> dict[str, Any]:
    result = call("fit", "engine.toml", *words, "--json")
    assert (result.exit_code, result.stderr) == (0, "")
    return json.loads(result.stdout)["engines"][0]


def about(document: dict[str, Any]) -> dict[str, str]:
    return {caution["about"]: caution["text"] for caution in document["cautions"]}


def test_the_shops_tolerance_counts_and_is_named(bench: Path) -> None:
    """Nothing is known without it; with it two gaskets of ± 0.025 mm lie at worst 0.05 mm about 0.89."""
    assert answer("--book", "stock.csv")["cylinders"][0]["chance_in_window"] is None
    (bench / "shop.toml").write_text(SAID, encoding="utf-8")
    told = answer("--book", "stock.csv")
    spread = told["cylinders"][0]["quench_spread"]
    assert (spread["worst_low_mm"], spread["worst_high_mm"]) == (pytest.approx(0.84), pytest.approx(0.94))
    assert about(told)["default tolerance"] == (
        "No list states a tolerance of B-040 and H-060: ± 0.025 mm counts, the default."
    )
    assert "gasket tolerances" not in told["cylinders"][0]["left_out"]


def test_a_chance_that_seems_certain_is_not_told_as_certain(bench: Path) -> None:
    (bench / "shop.toml").write_text(SAID, encoding="utf-8")
    assert answer("--book", "stock.csv")["cylinders"][0]["chance_in_window"] == 0.999999
    assert "over 99 of 100" in call("fit", "engine.toml", "--book", "stock.csv").stdout


def test_the_engine_files_own_tolerance_goes_first(bench: Path) -> None:
    (bench / "shop.toml").write_text(SAID, encoding="utf-8")
    own = ENGINE.replace("[[cylinder]]", '[gasket]\ntolerance = "0.04 mm"\n[[cylinder]]', 1)
    (bench / "engine.toml").write_text(own, encoding="utf-8")
    assert "± 0.040 mm" in about(answer("--book", "stock.csv"))["default tolerance"]


def test_beside_the_ledger_it_counts_too_and_holding_with_it_is_no_new_reading(bench: Path) -> None:
    (bench / "shop.toml").write_text(SAID, encoding="utf-8")
    (bench / "engines.csv").write_text(ENGINES, encoding="utf-8")
    assert call("shop", "load", "stock.csv", "engines.csv", "--yes").exit_code == 0
    told = call("fit", "HC-1", "--hold")
    assert (told.exit_code, "± 0.025 mm counts, the default." in " ".join(told.stdout.split())) == (0, True)
    assert call("shop", "use", "HC-1").exit_code == 0
    (line,) = json.loads(call("shop", "board", "--json").stdout)
    assert (line["state"], line["note"]) == ("being fitted", "")


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ('[gasket]\ntolerance = "0.025"\n', "Write the unit behind the number."),
        ('[gasket]\ntolerence = "0.025 mm"\n', "Did you mean tolerance?"),
        ('[gaskets]\ntolerance = "0.025 mm"\n[shop]\nname = "Kiln Lane"\n', "Did you mean gasket?"),
        ("", "a table that opens with the line [gasket]"),
        ("[gasket\n", "in TOML"),
    ],
)
def test_what_cannot_be_read_is_refused_with_its_place(bench: Path, text: str, said: str) -> None:
    (bench / "shop.toml").write_text(text, encoding="utf-8")
    message = refusal("fit", "engine.toml", "--book", "stock.csv")
    assert "shop.toml" in message
    assert said in message


def test_who_orders_and_what_gaskets_vary_by_stand_in_one_file(bench: Path) -> None:
    """Either may stand there alone; order sheets and tolerance come from one file."""
    (bench / "shop.toml").write_text('[shop]\nname = "Kiln Lane Engines"\n', encoding="utf-8")
    assert answer("--book", "stock.csv")["cylinders"][0]["chance_in_window"] is None
    (bench / "shop.toml").write_text('[shop]\nname = "Kiln Lane Engines"\n\n' + SAID, encoding="utf-8")
    told = answer("--book", "stock.csv", "--order-sheets", "orders.xlsx")
    assert told["cylinders"][0]["quench_spread"]["worst_low_mm"] == pytest.approx(0.84)


READ_OVER_A_GASKET = ENGINE.replace('deck = "0.11 mm proud"\n', "") + "".join(
    f'[[cylinder.reading]]\nwhere = "pin end {end}"\ninstrument = "dial indicator"\nside = "below"\n'
    'value = "0.29 mm"\nbase_gasket_in_place = "0.40 mm"\n'
    for end in ("one", "two")
)


def test_a_base_gasket_in_place_has_the_shops_tolerance_too(bench: Path) -> None:
    """The gasket under the reading, and the two that are fitted: 3 · 0.025² of variance beside the readings' own."""
    (bench / "engine.toml").write_text(READ_OVER_A_GASKET, encoding="utf-8")
    assert "base gasket in place" in answer("--book", "stock.csv")["cylinders"][0]["left_out"]
    (bench / "shop.toml").write_text(SAID, encoding="utf-8")
    told = answer("--book", "stock.csv")["cylinders"][0]
    assert told["left_out"] == []
    readings_mm2 = (0.008**2 + 0.005**2 / 3) / 2
    assert told["quench_spread"]["uncertainty_mm"] == pytest.approx((3 * 0.025**2 / 3 + readings_mm2) ** 0.5, rel=1e-3)


def test_python_reads_what_the_shop_says_beside_the_books(bench: Path) -> None:
    """Engine file, text and table of the books alike; frames lie beside nothing."""
    (bench / "shop.toml").write_text(SAID, encoding="utf-8")
    (bench / "engines.csv").write_text(ENGINES, encoding="utf-8")
    books = stackopt.read_books("stock.csv", "engines.csv")
    whole = [stackopt.fit(each, books) for each in ("engine.toml", ENGINE, "HC-1")] + [stackopt.plan(books)]
    assert [each.document["engines"][0]["cylinders"][0]["chance_in_window"] for each in whole] == [0.999999] * 4
    alone = stackopt.fit(ENGINE, stock=books.stock)
    assert alone.document["engines"][0]["cylinders"][0]["chance_in_window"] is None


def test_the_page_reads_what_the_shop_says_beside_its_ledger(bench: Path) -> None:
    (bench / "engines.csv").write_text(ENGINES, encoding="utf-8")
    assert call("shop", "load", "stock.csv", "engines.csv", "--yes").exit_code == 0
    assert "the default" not in Browser(app_on(bench / "stackopt.db")).open("/engines/HC-1").text
    (bench / "shop.toml").write_text(SAID, encoding="utf-8")
    assert "counts, the default" in Browser(app_on(bench / "stackopt.db")).open("/engines/HC-1").text
