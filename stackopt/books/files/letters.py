"""Bytes of a text to its letters: which of the encodings of eight bits a file was saved in, told from what makes sense.

A reading makes no sense where a sign stands inside a word, a capital behind a small letter, a letter beside a digit, or
where no one language has all its letters. The tables are Python's own codecs; the letters of each language are common
knowledge of their alphabets.
"""

from __future__ import annotations

import re

ENCODINGS = ("cp1252", "cp1250", "cp850", "mac_roman")
NAMES = {
    "cp1252": "Windows, western Europe",
    "cp1250": "Windows, central Europe",
    "cp850": "DOS, western Europe",
    "mac_roman": "old Macintosh",
}
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
        ),
    )
)
# Signs that price lists and stock lists hold: of measures, of money, of text.
SIGNS = frozenset("±°²³µ½¼¾×÷€£¥¢§®™•…–—‘’“”„«»·Øø\u00a0")
_INSIDE = frozenset("’–·µ\u00a0")
_BEYOND = re.compile(rb"[\x80-\xff]+")
_OTHERS = re.compile(r"[^\x00-\x7f]+")
_CONTROL = re.compile(rb"[\x00-\x08\x0b\x0e-\x1f]")
# Of bytes beyond ASCII, no more than one in so many may make no sense, or they are no text.
LEAST_SENSE = 2
_BETWEEN = re.compile(r"[^\W\d_]")


def readings_of(content: bytes) -> dict[str, str]:
    """Return the texts that bytes can be, by encoding, those alone that make the most sense; alike ones once.

    None where they are no text.
    """
    texts: dict[str, str] = {}
    if _CONTROL.search(content):
        return texts
    for encoding in ENCODINGS:
        try:
            texts[encoding] = content.decode(encoding)
        except UnicodeDecodeError:
            continue
    oddness = {encoding: _oddness(text) for encoding, text in texts.items()}
    least = min(oddness.values(), default=0)
    if least * LEAST_SENSE > sum(len(run) for run in _BEYOND.findall(content)) + LEAST_SENSE:
        return {}
    sensible = {encoding: text for encoding, text in texts.items() if oddness[encoding] == least}
    first: dict[str, str] = {}
    for encoding, text in sensible.items():
        first.setdefault(text, encoding)
    return {encoding: text for text, encoding in first.items()}


def _oddness(text: str) -> int:
    """Return how many letters and signs of a text make no sense where they stand."""
    odd = 0
    letters: list[str] = []
    for found in _OTHERS.finditer(text):
        before, behind = text[max(found.start() - 1, 0) : found.start()], text[found.end() : found.end() + 1]
        odd += _is_odd(before, found[0], behind)
        letters += [letter for letter in found[0].lower() if letter.isalpha() and letter not in "øµºª"]
    return odd + min(sum(letter not in alphabet for letter in letters) for alphabet in ALPHABETS)


def _is_odd(before: str, run: str, behind: str) -> bool:
    """Tell whether letters beyond ASCII make no sense between the two that stand beside them."""
    if before.isdigit() and run[0] in "øý":
        return True
    if all(letter in SIGNS for letter in run):
        return bool(_BETWEEN.match(before) and _BETWEEN.match(behind)) and not _INSIDE.issuperset(run.replace("ø", "’"))
    if not all(letter.isalpha() or letter in SIGNS for letter in run):
        return True
    if before.isdigit() or behind.isdigit():
        return True
    alone = not (_BETWEEN.match(before) or _BETWEEN.match(behind)) and len(run) == 1
    return (before.islower() and run[0].isupper()) or (alone and run not in "àÀéèóáíúůý")
