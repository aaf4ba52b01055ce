"""What is dropped on the page: engine files, columns that mean something else, answers that are asked for no more."""

from __future__ import annotations

import io

from flask import Flask

from tests.web.presses import Browser
from tests.web.test_engine_form import ENGINE

SHELF = (
    "part number,kind,For,thickness (mm),on hand,Loc\nB-1,base gasket,KV82,0.4,3,C1\nB-2,base gasket,KV82,0.5,4,C2\n"
)


def dropped(app: Flask, **files: str) -> Browser:
    (name, text), *_ = files.items()
    browser = Browser(app).open("/shelf")
    return browser.press("Read it", {"books": (io.BytesIO(text.encode()), name.replace("__", "."))})


def test_an_engine_file_is_read_loaded_and_answered(app: Flask) -> None:
    browser = dropped(app, J_7__toml=ENGINE)
    assert browser.heading == "How it was read"
    assert "0.110 mm · 0.0043 in proud" in browser.text
    browser.press("Load")
    assert browser.heading == "J-7"
    assert "What goes on it" in browser.text or "Nothing that fits" in browser.text


def test_an_engine_file_that_is_wrong_says_where(app: Flask) -> None:
    browser = dropped(app, J_7__toml=ENGINE.replace('bore = "82 mm"', 'bore = "82"', 1))
    assert "cylinder[1].bore" in browser.text
    assert "Load" not in [button for form in browser.parsed.forms for button in form.buttons]


def test_an_engine_of_a_family_that_no_part_names_is_no_dead_end(app: Flask) -> None:
    browser = dropped(app, J_7__toml=ENGINE.replace("KV82", "QX1")).press("Load")
    assert browser.heading == "J-7"
    assert "a family that some part in the books fits" in browser.text
    assert "/engines/J-7/readings" in browser.text


def test_a_column_that_was_kept_aside_is_said_what_it_is(empty_app: Flask) -> None:
    browser = dropped(empty_app, shelf__csv=SHELF)
    assert "as it was read: kept aside" in browser.text
    browser.press("Read the columns so", {"column|2|": "fits", "column|5|": "bin"})
    assert browser.status == 200
    browser.press("Load").open("/shelf")
    assert "C1" in browser.text
    assert "KV82" in browser.text


def test_what_a_column_is_is_remembered_for_the_next_book_of_the_layout(empty_app: Flask) -> None:
    dropped(empty_app, shelf__csv=SHELF).press("Read the columns so", {"column|5|": "bin"})
    assert "as it was read: bin" in dropped(empty_app, later__csv=SHELF.replace("C1", "C9")).text


def test_an_answer_whose_cell_is_mended_afterwards_is_let_go(empty_app: Flask) -> None:
    sheet = SHELF.replace(",3,C1", ",many,C1").replace("0.5,4", "0.5,-4")
    browser = dropped(empty_app, shelf__csv=sheet)
    browser.press("Answer", {"answer-0": "leave the row out"})
    (token,) = [form.action.split("/")[3] for form in browser.parsed.forms if form.action.endswith("/mend")]
    browser.press("Mend and read again", {"cell|shelf.csv||E2": "3", "cell|shelf.csv||E3": "4"})
    assert browser.status == 200
    assert token in browser.at
    browser.press("Load").open("/shelf")
    assert "B-1" in browser.text
    assert "B-2" in browser.text
