"""Texts saved in encodings of eight bits: read with the letters that were typed, or asked about; never mangled."""

from __future__ import annotations

from pathlib import Path

import pytest

from stackopt.books.facts.read import examine_books
from stackopt.books.files.letters import readings_of
from stackopt.books.words.inquiry import GivenAnswer

TEXTS = (
    "Stück Größe Zylinderfuß Kolben für",
    "Pièce épaisseur côté tête référence où",
    "Tesnění hlavy válce tloušťka množství",
    "uszczelka głowicy ilość grubość zł",
    "tömítés vastagság darab ő ű",
    "Espesor caña añó 83 ±0.02 4,80 café",
    "±0.02",
    "4,80 €",
    "Stück",
    "Pièce",
    "smørring Ø 83",
    "83 mm²",
)


@pytest.mark.parametrize("encoding", ["cp1252", "latin-1", "cp1250", "cp850", "mac_roman", "iso8859-15"])
@pytest.mark.parametrize("text", TEXTS)
def test_what_was_typed_is_among_what_is_read(text: str, encoding: str) -> None:
    """Python's own codec writes the bytes; a sign of money has other places in the ISO tables, which are left out."""
    if "€" in text and encoding.startswith(("iso", "latin")):
        pytest.skip("not in this table")
    try:
        content = text.encode(encoding)
    except UnicodeEncodeError:
        pytest.skip("this encoding has not all of the letters")
    assert text in readings_of(content).values()


@pytest.mark.parametrize(("text", "encoding"), [(TEXTS[0], "cp850"), (TEXTS[1], "mac_roman"), (TEXTS[2], "cp1250")])
def test_a_text_with_telling_letters_is_read_in_one_way(text: str, encoding: str) -> None:
    assert list(readings_of(text.encode(encoding)).values()) == [text]


def test_letters_that_can_be_others_are_asked_about_and_the_answer_is_remembered_with_its_headers(
    tmp_path: Path,
) -> None:
    path = tmp_path / "list.csv"
    row = "part number,kind,fits,thickness (mm),on hand,bin,Pièce\nBG-1,base gasket,KV82,0.4,3,Pièce,x\n"
    path.write_bytes(row.encode("cp1252"))
    (question,) = examine_books([path]).questions
    assert question.found == "Windows, western Europe: Pièce; Windows, central Europe: Pičce"
    for answer, place in (("western", "Pièce"), ("central", "Pičce")):
        books = examine_books([path], answers=[GivenAnswer(f"letters=Windows, {answer} Europe")])
        assert (books.questions, books.stock["BG-1"].bin) == ((), place)
        assert ("Pièce" in books.learned[0].layout.headers) == (answer == "western")


@pytest.mark.parametrize(
    ("text", "encoding"),
    [
        *((("Półka; łódź żółta"), code) for code in ("cp1250", "iso8859_2", "cp852", "mac_latin2")),
        *((("Přihrádka; žluťoučký kůň"), code) for code in ("cp1250", "iso8859_2", "cp852")),
        *((("Őrhely; fűtő"), code) for code in ("cp1250", "iso8859_2", "cp852")),
        *((("Raf; şişe ığdır"), code) for code in ("cp1254", "cp857")),
        *((("Полка; верхняя"), code) for code in ("cp1251", "koi8_r", "cp866")),
        *((("Ράφι; πάνω"), code) for code in ("cp1253", "iso8859_7")),
    ],
)
def test_letters_of_other_lands_are_read_or_asked_about(text: str, encoding: str) -> None:
    """Never one reading that is another: either what was typed, or several that the user chooses from."""
    found = list(readings_of(text.encode(encoding)).values())
    assert found == [text] or len(found) > 1
