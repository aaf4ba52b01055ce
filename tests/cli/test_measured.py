"""What `shop measure`, `thickness` and `adopt` say of a gauge that is off, and of how little they rest on."""

from __future__ import annotations

import json
from collections.abc import Iterator
from pathlib import Path

import pytest
from click.testing import CliRunner

from stackopt.cli import main

STOCK = """\
part number,kind,fits,thickness (mm),tolerance (mm),opening (mm),on hand,unit cost
B-040,base gasket,KV82,0.40,0.02,,12,3.90
H-060,head gasket,KV82,0.60,0.02,83.0,6,21.00
H-062,head gasket,KV82,0.62,0.02,83.0,6,21.00
"""
HEADS = "engine,family,cylinder,bore (mm),stroke (mm),deck (mm),deck side,quench min (mm),quench max (mm)\n"
ENGINES = [f"HC-{number}" for number in range(6)]


def said(words: list[str]) -> str:
    result = CliRunner(env={"COLUMNS": "200"}).invoke(main, words)
    assert result.exit_code == 0, result.output
    return result.stdout


@pytest.fixture(autouse=True)
def fitted(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Six engines of two cylinders, each with its gaskets fitted."""
    monkeypatch.chdir(tmp_path)
    rows = (f"{name},KV82,{side},82,78,0.11,proud,0.76,1.02\n" for name in ENGINES for side in ("front", "rear"))
    (tmp_path / "stock.csv").write_text(STOCK, encoding="utf-8")
    (tmp_path / "engines.csv").write_text(HEADS + "".join(rows), encoding="utf-8")
    said(["shop", "load", "stock.csv", "engines.csv", "--yes"])
    for name in ENGINES:
        said(["fit", name, "--hold"])
        said(["shop", "use", name])


def measured(off_mm: float) -> Iterator[str]:
    for name in ENGINES:
        predicted = json.loads(said(["shop", "build", name, "--json"]))["chosen"]["fitted"]["cylinders"]
        for cylinder in predicted:
            read_mm = cylinder["quench_mm"] + off_mm
            yield said(["shop", "measure", name, cylinder["cylinder"], f"{read_mm:.3f} mm"])


def test_twelve_cylinders_that_are_off_alike_are_one_finding() -> None:
    """0.16 mm beyond gaskets of ± 0.02 mm and a reading of 0.025 mm: a mistake at first, then a pattern."""
    told = list(measured(0.16))
    assert "a mistake to look for" in told[0]
    assert all("a mistake to look for" not in words for words in told[2:])
    assert "12 of 12 measured cylinders lie off alike, by +0.1" in told[-1]
    assert "over 3 part numbers: one cause, such as a gauge" in told[-1]
    shared = json.loads(said(["shop", "thickness", "--json"]))["common_offset"]
    assert shared["offset_mm"] == pytest.approx(0.16, abs=0.005)
    assert (shared["cylinders"], shared["parts"]) == (12, ["B-040", "H-060", "H-062"])
    assert said(["shop", "build", ENGINES[0]]).count("lie off alike") == 1


def test_a_true_gauge_is_not_blamed() -> None:
    assert all("off alike" not in words for words in measured(0.01))
    assert json.loads(said(["shop", "thickness", "--json"]))["common_offset"] is None


def test_adopting_after_one_cylinder_says_how_little_that_is() -> None:
    next(measured(0.03))
    told = said(["shop", "adopt", "B-040"])
    assert "after 1 cylinder, listed 0.400 mm" in told
    assert "That is little to rest on: its mean is known to ± 0.02" in told


def test_adopting_after_many_says_nothing_of_the_kind() -> None:
    list(measured(0.01))
    assert "little to rest on" not in said(["shop", "adopt", "B-040"])
