"""One cell to the engine families that a part fits, or to the cylinder that it belongs to; codes that a text names."""

from __future__ import annotations

import re

from stackopt.books.files.sheets import Cell, written
from stackopt.books.words.cells import INVISIBLE, text
from stackopt.parts.part_records import ANY_FAMILY
from stackopt.problems import UndecidedError

_BETWEEN_CODES = re.compile(
    r"[;,/|\n\r]+|\s[&+]\s?|&(?=\S)|\+(?=\S)|\s(?:and|und|u\.|et|y|e|en|og|och|or|oder|ou)\s", re.IGNORECASE
)
# What makes more or less of family codes than a list: words, doubts, years, one cylinder, from one code to another.
_NO_PLAIN_CODES = re.compile(
    r"\b(?:but|except|not|without|ohne|sauf|excl|most|some|none|unknown|various|several|later?|earl(?:y|ier)|older|newer"
    r"|onwards?|up|etc|tb[acd]|n/?a|see|only|from|until|to|bis|before|after|all(?= )|any(?= ))\b"
    r"|\?|\b(?:19|20)\d\d\b|[()]|[^\W_]\*|\b[A-Z]+\d+\s*[-–]\s*[A-Z]+\d+"
    r"|\d\w*\s+(?:front|rear|left|right|lh|rh|l|r|both|each|vorn|hinten|avant|arrière)\b",
    re.IGNORECASE,
)
_NAMED = re.compile(r"[^\W_]")
_ODD_CODES = re.compile(r"(?:[A-Z]+\d+\w*\s+)+[A-Z]+\d+\w*")
# What looks like the code of a family in a text: letters, then a number; no thread, as M8.
_CODE_NAMED = re.compile(r"(?<![\w.-])(?!M\d{1,2}(?!\d))[A-Z]{1,4}-?\d{2,4}[A-Z]{0,2}(?![\w-]|\.\d)")
ANY_WORDS = frozenset(
    {"any", "all", "universal", "alle", "tous", "toutes", "tutti", "todos", "todas", "alla", ANY_FAMILY}
)
EVERY_CYLINDER = frozenset(
    {"both", "any", "all", "either", "each", "*", "both sides", "l/r", "l+r", "l & r", "f/r", "f+r"}
    | {"beide", "alle", "tous", "les deux", "entrambi", "ambos"}
)
# Two cylinders of an engine, by their names.
_PAIRS = tuple(
    frozenset(pair.split()) for pair in ("front rear", "left right", "vorn hinten", "links rechts", "avant arrière")
)
_NAMES = re.compile(r"[^\W\d_]+")


def families(cell: Cell) -> frozenset[str] | None:
    """Read family codes with ``;`` between them; ``,`` ``/`` ``|`` ``&`` ``+`` and new lines will do as well.

    ``*`` or any stands for any family. Codes with nothing but blanks between them, and all but some, are asked about.
    """
    value = text(cell)
    if value is None:
        return None
    only_blanks = "\n" not in written(cell) and _ODD_CODES.fullmatch(value) is not None
    if _NO_PLAIN_CODES.search(value) or only_blanks or not (_NAMED.search(value) or value == ANY_FAMILY):
        answers = (";".join(value.split()),) if only_blanks else ()
        raise UndecidedError(value, "family codes with ; between them", answers, is_open=True)
    pieces = _BETWEEN_CODES.split(INVISIBLE.sub("", cell) if isinstance(cell, str) else value)
    codes = {" ".join(code.split()) for code in pieces} - {""}
    if {code.lower() for code in codes} & ANY_WORDS:
        return frozenset({ANY_FAMILY})
    return frozenset(codes)


def codes_named(described: str) -> tuple[str, ...]:
    """Return what looks like codes of families in a description, each once, in their order."""
    return tuple(dict.fromkeys(_CODE_NAMED.findall(described)))


def position(cell: Cell) -> str | None:
    """Read the cylinder that a part fits; both, any or all is the same as none said."""
    value = text(cell)
    if value is None or value.lower() in EVERY_CYLINDER:
        return None
    names = set(_NAMES.findall(value.lower())) - {"and", "or", "und", "oder", "et", "ou"}
    return None if names in _PAIRS else value
