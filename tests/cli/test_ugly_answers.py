"""A clean book and the same facts in an ugly layout get the same answer."""

from __future__ import annotations

import json
import random
from pathlib import Path

import pytest
from click.testing import CliRunner

from stackopt.books.facts.read import read_books
from stackopt.cli import main
from tests.books.test_round_trip import rounded
from tests.books.ugly import Taste, pages, write_delimited, write_workbook
from tests.books.whole_books import write_book
from tests.full import usual_or_full

SCENARIOS = Path(__file__).parents[2] / "scenarios"
SINGLE = [SCENARIOS / "v-twin-uneven" / name for name in ("shop.xlsx", "quillhaven.csv")]
SHOP = [SCENARIOS / "whole-shop" / name for name in ("shop.xlsx", "dorfmoos.xlsx", "quillhaven.csv", "varnik.csv")]
CALLS = {"fit": (["fit", str(SCENARIOS / "v-twin-uneven" / "hc-09.toml")], SINGLE), "plan": (["plan"], SHOP)}


def answer(words: list[str], books: list[Path]) -> object:
    named = [word for book in books for word in ("--book", str(book))]
    result = CliRunner().invoke(main, [*words, *named, "--today", "2027-02-01", "--json"])
    assert result.exit_code == 0, result.stderr
    document = json.loads(result.stdout)
    for one in document["passes"]:
        one.pop("seconds", None)
    for engine in document["engines"]:
        engine["cautions"] = [said for said in engine["cautions"] if said["about"] not in OF_THE_LAYOUT]
    return rounded(document)


# An ugly layout mixes units, and writes inches with all their digits: that is said of the layout, not of the engine.
OF_THE_LAYOUT = ("units differ", "finer than any instrument")


@pytest.mark.parametrize("seed", range(usual_or_full(2, 20, whole=6)))
@pytest.mark.parametrize("call", CALLS)
def test_the_ugliest_layout_gives_the_same_answer(tmp_path: Path, call: str, seed: int) -> None:
    """What the files of a scenario say, written cleanly into one book; and the same as a shop would keep it."""
    words, files = CALLS[call]
    said = read_books(files)
    clean, ugly = tmp_path / "clean.xlsx", tmp_path / "ugly.xlsx"
    write_book(clean, said, replace=False)
    taste = Taste(random.Random(seed), workbook=seed % 2 == 0)
    laid = pages(said, taste)
    if taste.workbook:
        write_workbook(ugly, laid)
    books = [ugly] if taste.workbook else write_delimited(tmp_path, laid, taste.dice)
    assert answer(words, books) == answer(words, [clean]) == answer(words, files)
