"""A piston's crown in an engines sheet: the header or the cell says whether it takes space away."""

from __future__ import annotations

from pathlib import Path

import pytest

from stackopt.books.facts.read import read_books

HEAD = "engine,family,cylinder,bore (mm),stroke (mm),deck (mm),deck side,chamber (cc)"
ROW = "TR-1,TR90,left,90,72,0.07,below,48.3"


def sheet(folder: Path, header: str, cells: str) -> Path:
    (folder / "engines.csv").write_text(f"{HEAD},{header}\n{ROW},{cells}\n", encoding="utf-8")
    return folder / "engines.csv"


@pytest.mark.parametrize(
    ("header", "cells", "crown_cc", "is_stated"),
    [
        ("piston (cc)", "2.7", 2.7, True),
        ("piston (cc)", "2.7 dish", -2.7, True),
        ("Crown cc", "-2.7", -2.7, True),
        ("dome (cc)", "2.7", 2.7, True),
        ("dish (cc)", "2.7", -2.7, True),
        ("Dish volume (cc)", "2.7 cc dish", -2.7, True),
        ("dish (cc)", "", 0.0, False),
        ("dome (cc),dish (cc)", ",1.5", -1.5, True),
        ("piston", "P-90-STD", 0.0, False),
    ],
)
def test_what_a_header_says_of_a_crown_is_read(
    tmp_path: Path, header: str, cells: str, crown_cc: float, is_stated: bool
) -> None:
    books = read_books([sheet(tmp_path, header, cells)])
    assert books.problems == ()
    ((cylinder,),) = (engine.cylinders for engine in books.engines)
    assert (cylinder.piston_volume_cc, cylinder.stated.piston_volume) == (crown_cc, is_stated)


@pytest.mark.parametrize(
    ("header", "cells", "words"),
    [
        ("dish (cc)", "-2.7", "its header says dish"),
        ("dish (cc)", "2.7 dome", "its header says dish"),
        ("dome (cc),dish (cc)", "1.0,2.7", "not both"),
    ],
)
def test_a_crown_that_says_two_things_is_refused_or_asked_about(
    tmp_path: Path, header: str, cells: str, words: str
) -> None:
    books = read_books([sheet(tmp_path, header, cells)])
    (told,) = (*books.problems, *books.questions)
    assert (words in told.expected, books.engines) == (True, ())
