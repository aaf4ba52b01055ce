"""What stands beside the measures of an engines sheet is read or asked about: nothing was said of it before."""

from __future__ import annotations

from pathlib import Path

import pytest

from stackopt.books.facts.book_records import Books
from stackopt.books.facts.read import examine_books

HEADER = "engine,family,cylinder,bore (mm),stroke (mm),deck (mm),deck side,chamber (cc)"
FRONT, REAR = "J-1,KV82,front,82,78,0.11,proud,50.2", "J-1,KV82,rear,82,78,0.02,below,50.6"


def read(tmp_path: Path, *lines: str) -> Books:
    path = tmp_path / "engines.csv"
    path.write_text("\n".join((*lines, "")), encoding="utf-8")
    return examine_books([path])


@pytest.mark.parametrize(
    ("header", "cell", "asked"),
    [
        ("base gasket in place (mm)", "0.4", "column I"),
        ("spacer", "1.0", "column I"),
        ("oversize", "0.5", "column I"),
        ("status", "closed", "I2"),
        ("status", "waiting", ""),
        ("notes", "to be bored to 82.5", "I2"),
        ("notes", "measured over the old gasket", "I2"),
        ("notes", "owner in no hurry", ""),
        ("customer", "Moos", ""),
        ("mileage", "31000", ""),
    ],
)
def test_a_column_beside_measures_is_asked_about_where_it_may_change_them(
    tmp_path: Path, header: str, cell: str, asked: str
) -> None:
    books = read(tmp_path, f"{HEADER},{header}", f"{FRONT},{cell}", f"{REAR},")
    assert ("; ".join(question.place.item for question in books.questions), books.problems) == (asked, ())
    # An engine with a row in question is no engine yet; with a column in question, no command uses the book.
    assert asked.startswith("column") or [engine.name for engine in books.engines] == ([] if asked else ["J-1"])


@pytest.mark.parametrize(
    ("note", "asked"),
    [
        ("All decks measured with base gasket in place", ["column F"]),
        ("Decks over a 0.4 mm gasket", ["column F"]),
        ("Deck: + = proud", ["column F"]),
        ("Bores before honing", ["column F"]),
        ("measured by Jo, 12 Nov", []),
        ("Engines of May, decks without gasket", []),
        ("sorted by due date", []),
    ],
)
def test_a_note_on_an_engines_sheet_is_asked_about_where_it_speaks_of_measures(
    tmp_path: Path, note: str, asked: list[str]
) -> None:
    for lines in ((HEADER, FRONT, REAR, "", f'"{note}"'), (f'"{note}"', "", HEADER, FRONT, REAR)):
        assert [question.place.item for question in read(tmp_path, *lines).questions] == asked


def test_a_dish_adds_to_the_chamber_and_a_dome_takes_from_it(tmp_path: Path) -> None:
    """A dish of 3 cc is a piston volume of -3 cc, as the trade signs it; it was taken for a flat piston."""
    for header, expected in (("dish (cc)", -3.0), ("dome (cc)", 3.0)):
        (engine,) = read(tmp_path, f"{HEADER},{header}", f"{FRONT},3", f"{REAR},3 cc").engines
        assert [cylinder.piston_volume_cc for cylinder in engine.cylinders] == [expected, expected]
    both = read(tmp_path, f"{HEADER},dome (cc),dish (cc)", f"{FRONT},3,0", f"{REAR},2,1")
    assert [problem.place.item for problem in both.problems] == ["J3"]


def test_a_row_for_both_cylinders_is_refused(tmp_path: Path) -> None:
    assert [problem.place.item for problem in read(tmp_path, HEADER, FRONT.replace("front", "both")).problems] == ["C2"]
