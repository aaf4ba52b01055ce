"""One cell to the kind of a part: by its name, by the same words in another order, or by a text that describes it."""

from __future__ import annotations

import re
from collections.abc import Mapping
from difflib import get_close_matches

from stackopt.books.files.sheets import Cell
from stackopt.books.words.cells import HYPHENS, LEAVE_OUT, plain
from stackopt.books.words.counts import words
from stackopt.books.words.tongues.kinds import KINDS_ABROAD
from stackopt.parts.part_records import Kind
from stackopt.problems import UndecidedError, UnreadableError
from stackopt.units import LENGTH_UNITS

KIND_WORDS: Mapping[str, Kind] = {
    **KINDS_ABROAD,
    **dict.fromkeys(("base gasket", "base gaskets", "base", "cylinder base gasket", "base gskt"), Kind.BASE_GASKET),
    **dict.fromkeys(("head gasket", "head gaskets", "head", "cylinder head gasket", "head gskt"), Kind.HEAD_GASKET),
    **dict.fromkeys(("base shim", "base shims", "shim", "shims"), Kind.BASE_SHIM),
    **dict.fromkeys(("piston", "pistons"), Kind.PISTON),
    **dict.fromkeys(("kit", "kits", "set", "gasket set", "gasket sets", "gasket kit"), Kind.KIT),
}
# A longer text is no name of a kind.
LONGEST = 120
# What programs write between words, or in place of it: base_gasket, BaseGasket, Gasket (base).
_APART = re.compile(rf"{HYPHENS.pattern}|[_()]")
_JOINED = re.compile(r"(?<=[a-z])(?=[A-Z])")
_WORD = re.compile(r"[^\W\d_]+")
_SPELLED = {
    "cyl": "cylinder",
    "gskt": "gasket",
    "gskts": "gasket",
    "gaskets": "gasket",
    "shims": "shim",
    "pistons": "piston",
}
# Kinds by the words that name them, in any order.
_BY_WORDS = {frozenset(name.split()): kind for name, kind in KIND_WORDS.items() if name.isascii()}
# What a text may say of a part beside its kind, and mean no other part: what it is made of, and how it looks.
_DESCRIBING = words(
    "copper aluminium aluminum alloy steel stainless paper fibre fiber graphite composite aramid mls multi layer layers"
    " rubber coated metal brass foil thick thin standard std genuine new cylinder for fits to suit the a of with and"
    " mm in inch thou nominal installed crushed compressed black grey gray green blue red kupfer alu papier stahl"
    " cuivre acier rame carta cobre papel koper dick dünn"
)
# Before the name of a kind these say that the part is another: a bolt for it.
_LEADING_ELSEWHERE = words("for fits to suit of with")
_PHRASES = {name: KIND_WORDS[name] for name in KIND_WORDS if " " in name or name in KINDS_ABROAD} | {
    "piston": Kind.PISTON,
    "pistons": Kind.PISTON,
}
_PHRASE = re.compile(rf"\b(?:{'|'.join(re.escape(name) for name in sorted(_PHRASES, key=len, reverse=True))})\b")


def kind_named(cell: object) -> Kind | None:
    """Return the kind that a text names with its own word; None for any other text."""
    known = KIND_WORDS.get(cell) if isinstance(cell, str) else None
    if known is not None:
        return known
    word = " ".join(_APART.sub(" ", _JOINED.sub(" ", str(cell)[:LONGEST])).lower().split())
    return KIND_WORDS.get(word) or _BY_WORDS.get(frozenset(_SPELLED.get(one, one) for one in _bare_words(word)))


def _bare_words(word: str) -> list[str]:
    """Return the words of a text that holds nothing else but commas and points; none for any other."""
    return _WORD.findall(word) if re.fullmatch(r"[^\W\d_]+(?:[ .,]+[^\W\d_]+)+\.?", word) else []


def kind(cell: Cell) -> Kind | None:
    """Read the kind of a part; a word that names none is asked about."""
    value = plain(cell, "a kind of part")
    if value is None:
        return None
    said = kind_named(value) or kind_described(str(value)) if len(str(value)) <= LONGEST else None
    if said is None and not _WORD.search(str(value)):
        raise UnreadableError(str(value), "one of " + ", ".join(Kind), "Name its kind, or leave the row out.")
    if said is None:
        raise UndecidedError(str(value), "one of " + ", ".join(Kind), _likely(str(value).lower()))
    return said


def kind_described(text: str) -> Kind | None:
    """Return the kind of a part that a text describes, as ``Base gasket 0.40 paper``; None where it may be another."""
    rest = set(_WORD.findall(_PHRASE.sub(" ", _spelled(text)))) - _DESCRIBING - LENGTH_UNITS.keys()
    return None if any(len(word) > 2 for word in rest) else _one_kind(text)


def kind_mentioned(text: str) -> Kind | None:
    """Return the one kind that a text begins with, whatever else it says of it.

    None where it names several, as a head gasket set, and where it is of something for that kind, as a spray.
    """
    spelled = _spelled(text)
    before, *behind = _PHRASE.split(spelled)
    leading = {_SPELLED.get(word, word) for word in _WORD.findall(before)}
    unknown = {word for word in leading - _DESCRIBING if len(word) > 2} | (leading & _LEADING_ELSEWHERE)
    others = set(_WORD.findall(" ".join(behind)))
    return None if unknown or not others.isdisjoint(KIND_WORDS) else _one_kind(text)


def _one_kind(text: str) -> Kind | None:
    """Return the kind whose name stands in a text; None where none or several do."""
    found = {_PHRASES[one] for one in _PHRASE.findall(_spelled(text))}
    return found.pop() if len(found) == 1 else None


def _spelled(text: str) -> str:
    return HYPHENS.sub(" ", text[:LONGEST].lower())


def _likely(word: str) -> tuple[str, ...]:
    """Return what a word for a kind may stand for: what it nearly is, else a part of another kind, to be left out."""
    near = get_close_matches(word[:LONGEST], KIND_WORDS, n=1, cutoff=0.8)
    kinds = [str(KIND_WORDS[one]) for one in near]
    others = [str(one) for one in Kind if str(one) not in kinds]
    return (*kinds, LEAVE_OUT, *others)
