"""Bytes of a text to its letters: which of the encodings of eight bits a file was saved in, told from what makes sense.

A reading makes no sense where a sign stands inside a word, a capital behind a small letter, a letter beside a digit, or
where no one language has all its letters. The tables are Python's own codecs; the letters of each language are common
knowledge of their alphabets.
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from itertools import pairwise

COMMON = ("cp1252", "cp1250", "cp850", "mac_roman")
# Tried only where none of the common ones makes sense of every letter.
RARE = (
    *("iso8859_15", "iso8859_2", "cp437", "cp852", "mac_latin2", "cp1254", "cp857", "iso8859_16"),
    *("cp1251", "koi8_r", "cp866", "cp1253", "iso8859_7"),
)
NAMES = {
    "cp1252": "Windows, western Europe",
    "cp1250": "Windows, central Europe",
    "cp850": "DOS, western Europe",
    "mac_roman": "old Macintosh",
    "iso8859_15": "Latin 9, western Europe",
    "iso8859_2": "Latin 2, central Europe",
    "cp437": "DOS, United States",
    "cp852": "DOS, central Europe",
    "mac_latin2": "old Macintosh, central Europe",
    "cp1254": "Windows, Turkish",
    "cp857": "DOS, Turkish",
    "iso8859_16": "Latin 10, Romanian",
    "cp1251": "Windows, Cyrillic",
    "koi8_r": "KOI8, Cyrillic",
    "cp866": "DOS, Cyrillic",
    "cp1253": "Windows, Greek",
    "iso8859_7": "Latin and Greek",
}
OTHER_SCRIPTS = ("абвгдежзийклмнопрстуфхцчшщъыьэюяёіїєґ", "αβγδεζηθικλμνξοπρσςτυφχψωάέήίόύώϊϋΐΰ")
_LATIN = re.compile(r"[a-z]", re.IGNORECASE)
ALPHABETS = tuple(
    map(
        frozenset,
        (
            "äöüß",
            "àâæçéèêëîïôœùûüÿ",
            "áéíóúüñ",
            "áâãàçéêíóôõú",
            "àèéìíîòóùú",
            "åäöæøéü",
            "ëïéèöüáóê",
            "áčďéěíňóřšťúůýž",
            "áäčďéíĺľňóôŕšťúýž",
            "ąćęłńóśźż",
            "áéíóöőúüű",
            "čćđšž",
            "çğıöşüâîû",
            "ăâîșțşţ",
            *OTHER_SCRIPTS,
        ),
    )
)
# Signs that price lists and stock lists hold: of measures, of money, of text.
SIGNS = frozenset("±°²³µ½¼¾×÷€£¥¢§®™•…–—‘’“”„«»·Øø\u00a0")
_OF_AMOUNTS = frozenset("±°²³¼½¾×÷€£¥¢§®™")
_INSIDE = frozenset("’–·µ\u00a0")
_BEYOND = re.compile(rb"[\x80-\xff]+")
_OTHERS = re.compile(r"[^\x00-\x7f]+")
_CONTROL = re.compile(rb"[\x00-\x08\x0b\x0e-\x1f]")
# Of bytes beyond ASCII, no more than one in so many may make no sense, or they are no text.
LEAST_SENSE = 2
# How many readings are shown where none makes sense of every letter.
SHOWN = 3
_BETWEEN = re.compile(r"[^\W\d_]")


def readings_of(content: bytes) -> dict[str, str]:
    """Return the texts that bytes can be, by encoding, those alone that make the most sense; alike ones once.

    Where none makes sense of every letter there are several. None where they are no text.
    """
    if _CONTROL.search(content):
        return {}
    best, least = _most_sensible(content, COMMON)
    if least:
        best, least = _most_sensible(content, (*COMMON, *RARE))
    if least * LEAST_SENSE > sum(len(run) for run in _BEYOND.findall(content)) + LEAST_SENSE:
        return {}
    return best


def _most_sensible(content: bytes, encodings: Iterable[str]) -> tuple[dict[str, str], int]:
    """Return the texts that make the most sense, by encoding, and how many places of them make none."""
    texts: dict[str, str] = {}
    for encoding in encodings:
        try:
            text = content.decode(encoding)
        except UnicodeDecodeError:
            continue
        if text not in texts.values():
            texts[encoding] = text
    oddness = {encoding: _oddness(text) for encoding, text in texts.items()}
    least = min(oddness.values(), default=0)
    ranked = sorted(texts, key=oddness.__getitem__)
    kept = [encoding for encoding in ranked if oddness[encoding] == least or (least and encoding in ranked[:SHOWN])]
    return {encoding: texts[encoding] for encoding in kept}, least


def _oddness(text: str) -> int:
    """Return how many letters and signs of a text make no sense where they stand."""
    odd = 0
    letters: list[str] = []
    for found in _OTHERS.finditer(text):
        before, behind = text[max(found.start() - 1, 0) : found.start()], text[found.end() : found.end() + 1]
        odd += _is_odd(before, found[0], behind)
        letters += [letter for letter in found[0].lower() if letter.isalpha() and letter not in "øµºª"]
    return odd + min(sum(letter not in alphabet for letter in letters) for alphabet in ALPHABETS)


def _is_of_other_script(run: str) -> bool:
    return any(letter in script for script in OTHER_SCRIPTS for letter in run.lower() if letter != "μ")


def _is_odd(before: str, run: str, behind: str) -> bool:
    """Tell whether letters beyond ASCII make no sense between the two that stand beside them."""
    if all(letter in SIGNS for letter in run):
        return (before.isdigit() and run[0] == "ø") or (
            bool(_BETWEEN.match(before) and _BETWEEN.match(behind)) and not _INSIDE.issuperset(run.replace("ø", "’"))
        )
    if not all(letter.isalpha() or letter in SIGNS for letter in run):
        return True
    if before.isdigit() or behind.isdigit() or _is_odd_inside(run):
        return True
    has_neighbour = _BETWEEN.match(before) or _BETWEEN.match(behind)
    if _is_of_other_script(run) and (_LATIN.match(before) or _LATIN.match(behind) or len(run) == 1):
        return True
    alone = not has_neighbour and len(run) == 1
    return (before.islower() and run[0].isupper()) or (alone and run not in "àÀéèóáíúůý")


def _is_odd_inside(run: str) -> bool:
    """Tell whether a capital stands behind a small letter, or a sign of amounts beside a letter."""
    rises = any(one.islower() and other.isupper() for one, other in pairwise(run))
    return rises or (not _OF_AMOUNTS.isdisjoint(run) and any(letter.isalpha() for letter in run))
