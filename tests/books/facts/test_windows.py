"""What is wrong with a window of an engines sheet is told as it was written there."""

from __future__ import annotations

from pathlib import Path

import pytest

from stackopt.books.facts.read import read_books

HEAD = (
    "engine,family,cylinder,bore (in),stroke (in),deck (in),deck side,quench min (in),quench max (in),quench aim (in)"
)


@pytest.mark.parametrize(
    ("window", "found", "expected"),
    [
        ("0.046,0.040,", "0.046 in", "a lower end that does not lie above the upper, 0.040 in"),
        ("0.030,0.040,0.053", "0.053 in", "an aim inside the quench window"),
        (",,0.035", "0.035 in", "an end of the quench window beside its aim"),
    ],
)
def test_a_window_that_contradicts_itself_is_told_in_inches(
    tmp_path: Path, window: str, found: str, expected: str
) -> None:
    sheet = tmp_path / "engines.csv"
    sheet.write_text(f"{HEAD}\nTR-1,TR90,left,3.5433,2.8346,0.003,below,{window}\n", encoding="utf-8")
    (problem,) = read_books([sheet]).problems
    assert (problem.found, problem.expected) == (found, expected)
