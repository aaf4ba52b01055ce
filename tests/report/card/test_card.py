"""The card of an engine, on paper and on a page: one sheet, with all that stands in the answer."""

from __future__ import annotations

import re
import zlib

import pytest
from msgspec.structs import replace

from stackopt.engine.cautions import Units
from stackopt.problems import InputError
from stackopt.report.card import pdf as card_pdf_module
from stackopt.report.card.html import card_page
from stackopt.report.card.pdf import SIZES, card_pdf
from stackopt.report.card.sheet import CardSheet, sheet_of_answer
from tests.report import answers

# Portable Document Format: points of 1/72 in; A4 is 210 × 297 mm (ISO 216), Letter 8.5 × 11 in.
PAGE_POINTS = {"a4": (595.28, 841.89), "letter": (612.0, 792.0)}


@pytest.fixture
def sheet() -> CardSheet:
    return sheet_of_answer(answers.ENGINE, answers.SOLVED, Units.MM)


@pytest.mark.parametrize("size", SIZES)
def test_the_card_is_one_page_of_its_size(sheet: CardSheet, size: str) -> None:
    packed = card_pdf(sheet, size, "http://127.0.0.1:8095/engines/J-1")
    assert packed.startswith(b"%PDF")
    assert packed.count(b"/Type /Page\n") == 1
    (wide, tall) = re.findall(rb"/MediaBox \[0 0 ([\d.]+) ([\d.]+)\]", packed)[0]
    assert (float(wide), float(tall)) == pytest.approx(PAGE_POINTS[size], abs=0.01)


@pytest.mark.parametrize(("cylinders", "pages"), [(1, 1), (2, 1), (3, 2), (4, 2)])
def test_every_cylinder_stands_on_the_card(sheet: CardSheet, cylinders: int, pages: int) -> None:
    """Two side by side on a page; each has its deck whole, its boxes, and what is to be done on every page."""
    deck = (("deck", "piston 0.110 mm, 0.004 in proud, ± 0.014 mm (95 %)"),)
    one = replace(sheet.cylinders[0], read=deck)
    named = tuple(replace(one, name=f"number {number}") for number in range(1, cylinders + 1))
    packed = card_pdf(replace(sheet, cylinders=named), "a4")
    assert packed.count(b"/Type /Page\n") == pages
    text = written(packed)
    for number in range(1, cylinders + 1):
        assert f"number {number}: measured at mock-up" in text
    assert text.count("0.014 mm (95 %)") == cylinders
    assert ("page 2 of 2" in text) == (pages == 2)
    assert text.count("Printed ") == pages


def written(packed: bytes) -> str:
    """Return the words of a PDF whose font is one that every reader has."""
    streams = re.findall(rb"stream\n(.*?)\nendstream", packed, re.DOTALL)
    drawn = b"".join(zlib.decompress(each) for each in streams if each[:1] == b"x").decode("latin-1")
    return "\n".join(re.findall(r"\((.*?)(?<!\\)\) Tj", drawn)).replace("\\(", "(").replace("\\)", ")")


def test_the_page_says_what_the_answer_says(sheet: CardSheet) -> None:
    """B40 of 0.40 mm out of bin A1; H32 of 0.8128 mm from North, six days after 1 February; quench 0.9128 mm."""
    page = card_page(sheet, "http://shop.local:8095/engines/J-1")
    for words in (
        "<h1>Card for J-1</h1>",
        "base gasket B40, 0.40 mm (0.016 in)",
        "shelf, bin A1",
        "head gasket H32, 0.813 mm (0.032 in)",
        "North, here 7 Feb 2027",
        "quench 0.913 mm, 0.036 in, 0.023 mm above the aim",
        "front: measured at mock-up",
        "All of it is here on 7 Feb 2027. To pay now: 47.00.",
        "Code that opens http://shop.local:8095/engines/J-1",
        "Mock it up before it turns under power",
    ):
        assert words in page, words


def test_a_blocked_engine_has_a_card_with_its_reasons() -> None:
    page = card_page(sheet_of_answer(answers.ENGINE, answers.BLOCKED, Units.MM))
    assert "Nothing that fits can be had in time." in page
    assert "rear: nothing fits." in page
    assert card_pdf(sheet_of_answer(answers.ENGINE, answers.BLOCKED, Units.MM)).startswith(b"%PDF")


def test_a_hostile_name_is_shown_as_it_is(sheet: CardSheet) -> None:
    page = card_page(replace(sheet, engine="<script>alert(1)</script>"))
    assert "<script>alert" not in page
    assert "&lt;script&gt;alert(1)" in page


def test_letters_that_no_font_has_are_refused_not_lost(sheet: CardSheet, monkeypatch: pytest.MonkeyPatch) -> None:
    other = replace(sheet, engine="Двигатель")
    assert card_pdf(other).startswith(b"%PDF")
    monkeypatch.setattr(card_pdf_module, "_wide_font", lambda: None)
    with pytest.raises(InputError, match=r"letters that a font on this machine has. Write the card as \.html"):
        card_pdf(other)


def test_the_code_is_read_back_as_the_address_that_went_in(sheet: CardSheet) -> None:
    """The modules of the code on the page are those that segno makes of the address."""
    import segno  # noqa: PLC0415 - beside its only use

    address = "http://shop.local:8095/engines/J-1"
    drawn = segno.make(address, error="m", micro=False).svg_inline(
        border=4, omitsize=True, svgclass="code", lineclass=None
    )
    assert drawn in card_page(sheet, address)
