"""A list whose descriptions alone name kinds and families: asked, and read as the answer says."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.books.asked.test_unread import read

HEADERS = "Part no,Description,Thk (thou),Qty"
ROWS = (
    "BG-16,Base gasket KV82 paper,16,4",
    "BG-20,Base gskt KV82,20,1",
    "HG-24,Head gasket KV82 copper annealed (used),24,2",
    "HG-31,Cyl head gasket KV82/SV95,31,2",
)
BY_KIND = "column of kind=the kind that each description names"
BY_CODE = "fits of descriptions=the codes that each description names"


def first_answers(folder: Path, *rows: str, header: str = HEADERS, answers: tuple[str, ...] = ()) -> dict[str, str]:
    books = read(folder, header, *rows, answers=answers)
    return {question.key: question.answers[0] for question in books.questions}


def test_kinds_and_families_that_only_descriptions_name_are_asked_about(tmp_path: Path) -> None:
    """A word that nobody knows stands beside them; one kind for every row would make base gaskets of head gaskets."""
    assert first_answers(tmp_path, *ROWS) == dict(one.split("=") for one in (BY_KIND, BY_CODE))


def test_as_each_description_names_them(tmp_path: Path) -> None:
    books = read(tmp_path, HEADERS, *ROWS, answers=(BY_KIND, BY_CODE))
    assert not books.questions
    assert {n: (str(part.kind), sorted(part.families)) for n, part in books.supply.parts.items()} == {
        "BG-16": ("base gasket", ["KV82"]),
        "BG-20": ("base gasket", ["KV82"]),
        "HG-24": ("head gasket", ["KV82"]),
        "HG-31": ("head gasket", ["KV82", "SV95"]),
    }


def test_a_row_that_names_no_kind_or_no_code_is_asked_about_by_itself(tmp_path: Path) -> None:
    rows = (*ROWS, "KX-1,Washer copper annealed,40,9", "HG-40,Head gasket copper annealed,40,9")
    asked = first_answers(tmp_path, *rows, answers=(BY_KIND, BY_CODE))
    assert list(asked) == ["kind Washer copper annealed", "fits none named"]


@pytest.mark.parametrize(
    "text", ["Head gasket set KV82 annealed", "Spray for head gasket KV82", "Bolts head gasket KV82"]
)
def test_what_is_not_the_gasket_itself_is_asked_about(tmp_path: Path, text: str) -> None:
    """A set holds other parts too; a spray and bolts are for a gasket."""
    asked = first_answers(tmp_path, *ROWS, f"KX-1,{text},40,9", answers=(BY_KIND, BY_CODE))
    assert list(asked) == [f"kind {text}"]


@pytest.mark.parametrize(
    "rows",
    [
        ("A1,Base gasket paper,16,4", "A2,Head gasket copper,20,4"),
        ("A1,Base gasket drawing AB12,16,4", "A2,Head gasket copper,20,4", "A3,Head gasket,30,1"),
        ("A1,Base gasket for M8 studs,16,4", "A2,Base gasket for M8 studs thick,20,4"),
        ("KB40,Base gasket KB40,16,4", "KB50,Base gasket KB50,20,4"),
    ],
)
def test_descriptions_without_shared_codes_ask_for_no_family(tmp_path: Path, rows: tuple[str, ...]) -> None:
    """No code, one in a single row, a thread, and the part's own number."""
    asked = first_answers(
        tmp_path, *(row.replace(",", ",base gasket,", 1) for row in rows), header=HEADERS.replace(",", ",Kind,", 1)
    )
    assert "fits of descriptions" not in asked


def test_pieces_at_two_places_are_asked_about_with_their_sum_first(tmp_path: Path) -> None:
    (question,) = read(tmp_path, "part number,kind,fits,thickness (mm),on hand", "B,base gasket,KV82,0.4,3+1").questions
    assert question.answers == ("4", "3", "1")
