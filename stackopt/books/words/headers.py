"""A header as written to the column it means: which one, in which unit, and why."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Callable, Mapping, Sequence
from functools import lru_cache

from msgspec import Struct
from msgspec.structs import replace

from stackopt.books.words.roles import ROLES, TIER_PRICE, TIER_START
from stackopt.books.words.vocabulary import ABBREVIATIONS, FILLERS, UNITS, Column, Measure, Role, RoleColumns
from stackopt.general_units import general_factor

ANY_UNIT = frozenset().union(*UNITS.values())
_BRACKETED = re.compile(r"[(\[{]([^)\]}]*)[)\]}]")
_WORD = re.compile(r"""p/n|mat'l|\+/-|cu\.? ?in\.?|sq\.? ?(?:in|mm|cm)\.?|[^\W_]+(?:\.(?=\s|$))?|["″”€£$¥#№±⌀&]""")
# Shares of a unit, as they stand in headers.
_OF_INCH = re.compile(r"(?:[x×]\s?)?(?<!\d)(?:0?[.,]001|1/1000)\s?(?:in(?:ch)?\b|\")")
_OF_MM = re.compile(r"(?:[x×]\s?)?(?<!\d)(?:0?[.,]01|1/100)\s?mm\b")
# A letter of words in Danish and Norwegian, and alone the sign of a diameter.
_DIAMETER = re.compile(r"(?<![^\W\d_])ø(?![^\W\d_])")
# As programs write headers: ThicknessMm.
_JOINED = re.compile(r"(?<=[a-z])(?=[A-Z])")
LONGEST_HEADER = 80
# Units that stand before what is measured too; others, as in and l, are words of their own there.
UNITS_IN_FRONT = frozenset({"mm", "cm", "µm", "inch", "thou", "mil", "cc", "ccm", "ml"})
# Words that are a measure only with a unit: new, free and installed may be said of pieces, a piston be a part number.
ONLY_WITH_UNIT = frozenset({"free", "new", "piston", "crown"})
_SHARE = re.compile(r"%|\bper ?cent\b", re.IGNORECASE)
# Thickness (dm), thk, dm: what may be a unit stands apart from the words.
_UNIT_APART = re.compile(
    r"(?P<words>[^()\[\]{},/]+?)\s*(?:[(\[{]\s*(?P<bracketed>[^()\[\]{}]{1,24}?)\s*[)\]}]"
    r"|[,/]\s*(?P<behind>[^()\[\]{},/\d]{1,24}))\s*"
)
# Which measures of pint a column may be in.
GENERAL_MEASURES: Mapping[Measure, tuple[str, ...]] = {
    Measure.LENGTH: ("length",),
    Measure.VOLUME: ("volume",),
    Measure.OPENING: ("length",),
}
# A sign that is a currency's too.
SPELLED_OUT = {"ft": "foot"}
# Fractions of a unit that is not named: the units that they may mean, the likelier first.
FRACTIONS: Mapping[str, tuple[str, ...]] = {
    "tenths": ("1/10 mm", "1/10000 in"),
    "hundredths": ("1/100 mm", "1/100 in"),
}
# Of two limits the one: no half-width.
_ONE_SIDE = re.compile(r"(?<!/)\+(?!\s*[/-])|(?<![+/\s])\s-(?=\s*(?:$|[(\[]))|\b(?:plus|upper|lower)\b", re.IGNORECASE)
# Price 5+, 5+, from 5 pcs, 5-9, price for 10 or more (EUR).
_BREAK = re.compile(
    r"(?:(?:unit |net )?price|preis|each|net)?\s*(?:(?:from|ab|for|at|@|>=|≥)\s*)?"
    r"(?:(?P<start>\d{1,4})\s*(?:\+|and up|or more|[-–]\s*\d{1,4})"
    r"|(?:(?<=from )|(?<=\bab )|(?<=[@≥=])|(?<=[@≥=] ))(?P<least>\d{1,4}))\s*"
    r"(?P<counted>pcs\.?|pieces|off|packs?|pks?|st(?:ü|u)?c?k\.?)?\s*(?:price)?\s*(?:[(\[](?P<unit>[^)\]]+)[)\]])?",
    re.IGNORECASE,
)
_PRICE = "price|preis|prix|prezzo|precio|preço|prijs|pris|cena"
# Price per 100, Price/100 (EUR), EUR/100 pcs, price for 10 pieces.
_PRICE_FOR = re.compile(
    rf"(?:(?:net |list )?(?:{_PRICE})\s*)?"
    r"(?:[(\[]?(?P<unit>[a-z]{2,3}|[€£$])[)\]]?\s*)?"
    r"[(\[]?\s*(?:/|per\b|for\b|je\b|pro\b|pour\b|por\b)\s*"
    r"(?P<pieces>[1-9]\d{0,3})\s*(?:pcs\.?|pieces|off|st(?:ü|u)?c?k\.?)?\s*[)\]]?"
    r"\s*(?:[(\[](?P<unit_behind>[^)\]]+)[)\]])?",
    re.IGNORECASE,
)
_COUNTED = {
    **dict.fromkeys(("pcs", "pieces", "off", "st", "stk", "stck", "stück", "stuck"), "pieces"),
    **dict.fromkeys(("pack", "packs", "pk", "pks"), "packs"),
}


class HeaderReading(Struct, frozen=True):
    """One way to read a header: its words in plain form, and a unit where one is said."""

    words: str
    unit: str = ""


class MatchedColumn(Struct, frozen=True):
    """A column of a sheet and what it was read as.

    `unit` is what the header says, as a key of the unit tables or a currency; empty when it says none.
    """

    name: str
    index: int
    title: str
    unit: str
    measure: Measure
    why: str


@lru_cache(maxsize=4096)
def readings(title: str) -> tuple[HeaderReading, ...]:
    """Return the ways a header can be read: with its last word as a unit, and with every word as a word."""
    text = _DIAMETER.sub("⌀", unicodedata.normalize("NFC", title).lower())
    text = _OF_MM.sub("1/100 mm", _OF_INCH.sub("1/1000 in", text))
    bracketed = [" ".join(bit.split()) for bit in _BRACKETED.findall(text)]
    units = [bit for bit in bracketed if bit in ANY_UNIT]
    for bit in units:
        text = re.sub(r"[(\[{]\s*" + re.escape(bit) + r"\s*[)\]}]", " ", text)
    words = _WORD.findall(text)
    found = [HeaderReading(plain_words(words), units[0] if len(units) == 1 else "")]
    for behind in (1, 2) if not units else ():
        unit = " ".join(words[-behind:])
        if len(words) > behind and unit in ANY_UNIT:
            found.insert(0, HeaderReading(plain_words(words[:-behind]), unit))
    if not units and len(words) > 1 and words[0] in UNITS_IN_FRONT:
        found.append(HeaderReading(plain_words(words[1:]), words[0]))
    return tuple(found)


def plain_words(words: Sequence[str]) -> str:
    """Spell abbreviations out, drop fillers and repeated words, and join."""
    bare = (word.rstrip(".") or word for word in words)
    spelled = [part for word in bare for part in ABBREVIATIONS.get(word, word).split()]
    # "a" behind a word is a letter that tells one from another, as in "Bin A".
    kept = [
        word for at, word in enumerate(spelled) if word not in FILLERS or (word == "a" and 0 < at == len(spelled) - 1)
    ]
    return " ".join(word for place, word in enumerate(kept) if place == 0 or word != kept[place - 1])


def match(title: str, index: int, columns: RoleColumns, said: str | None = None) -> MatchedColumn | None:
    """Return the column of a role that a header means; None when it means none.

    `said` is a header text that the user gave to be read in place of the title; empty: the column is kept aside.
    """
    tier = _BREAK.fullmatch(title if said is None else said) if columns is ROLES[Role.OFFERS] else None
    if tier:
        return _break(tier, index, title)
    for_pieces = _price_for(title if said is None else said) if columns is ROLES[Role.OFFERS] else None
    if for_pieces:
        pieces, unit = for_pieces
        why = f"its header says that it is for {pieces} pieces"
        return MatchedColumn("price", index, title, unit, Measure.MONEY, why)
    for reading in readings(title if said is None else said):
        column = _column(reading.words, columns)
        if column is None or (reading.unit and reading.unit not in UNITS[column.measure]):
            continue
        if column.name == "thickness tolerance" and _ONE_SIDE.search(title):
            continue
        if reading.words in ONLY_WITH_UNIT and not reading.unit:
            continue
        why = _why(reading, column) if said is None else f"you said that it is {said!r}"
        return MatchedColumn(column.name, index, title, reading.unit, column.measure, why)
    given = title if said is None else said
    parted = _JOINED.sub(" ", given)
    if parted != given:
        matched = match(parted, index, columns, None if said is None else parted)
        return None if matched is None else replace(matched, title=title)
    return _match_general(title if said is None else said, index, columns)


def _match_general(title: str, index: int, columns: RoleColumns) -> MatchedColumn | None:
    """Return the column of a measure whose unit stands in no table: pint knows it, or it says no more than a fraction.

    Such a unit is taken only in brackets or behind a comma or stroke: a word behind others may mean anything.
    """
    apart = _UNIT_APART.fullmatch(" ".join(title.lower().split()))
    if apart is None or _ONE_SIDE.search(title):
        return None
    unit = (apart["bracketed"] or apart["behind"]).strip()
    unit = SPELLED_OUT.get(unit, unit)
    column = next((own for own in map(_column_of(columns), readings(apart["words"])) if own is not None), None)
    if column is None or column.measure not in GENERAL_MEASURES:
        return None
    if unit in FRACTIONS and column.measure is not Measure.VOLUME:
        why = f"it is a spelling of {column.name}, and the header says {unit}, of what it does not say"
        return MatchedColumn(column.name, index, title, "", column.measure, why)
    if unit not in UNITS[column.measure] and not is_general_unit(unit, column.measure):
        return None
    why = f"it is a spelling of {column.name}, and the header says {unit}"
    return MatchedColumn(column.name, index, title, unit, column.measure, why)


def _column_of(columns: RoleColumns) -> Callable[[HeaderReading], Column | None]:
    return lambda reading: None if reading.unit else _column(reading.words, columns)


def is_general_unit(unit: str, measure: Measure) -> bool:
    """Tell whether pint knows a unit of a measure that no table here holds."""
    return any(general_factor(unit, name) is not None for name in GENERAL_MEASURES.get(measure, ()))


def priced_pieces(title: str) -> int:
    """Return for how many pieces a header says that its prices are; 0 where it says no number."""
    found = _price_for(title)
    return found[0] if found else 0


def _price_for(title: str) -> tuple[int, str] | None:
    """Return for how many pieces a header says that its prices are, and the currency it names."""
    found = _PRICE_FOR.fullmatch(" ".join(title.split()))
    unit = ((found["unit"] or found["unit_behind"] or "") if found else "").lower()
    if found is None or (unit and unit not in UNITS[Measure.MONEY]) or not (unit or re.search(_PRICE, title.lower())):
        return None
    return int(found["pieces"]), unit


def says_share(title: str) -> bool:
    """Tell whether a header says that its figures are per cent."""
    return _SHARE.search(title) is not None


@lru_cache(maxsize=4096)
def is_known_header(title: str) -> bool:
    """Tell whether a text means a column of any role."""
    return any(match(title, 0, columns) for columns in ROLES.values())


def _break(tier: re.Match[str], index: int, title: str) -> MatchedColumn:
    """Return the column of a price that holds from so many packs or pieces on; the first one is the price itself."""
    start, counted = int(tier["start"] or tier["least"]), _COUNTED.get((tier["counted"] or "").rstrip(".").lower(), "")
    name = "price" if start == 1 else f"break {start} {counted}".strip()
    why = f"it names what is bought at least, {start}"
    return MatchedColumn(name, index, title, (tier["unit"] or "").lower(), Measure.MONEY, why)


def _column(words: str, columns: RoleColumns) -> Column | None:
    name = columns.spellings.get(words)
    if name is not None:
        return columns.columns[name]
    if columns is not ROLES[Role.OFFERS]:
        return None
    for pattern, tier_name, measure in ((TIER_START, "packs from", Measure.NONE), (TIER_PRICE, "price", Measure.MONEY)):
        tier = pattern.fullmatch(words)
        if tier and int(tier[1]) == 1:
            return columns.columns["price" if measure is Measure.MONEY else "minimum quantity"]
        if tier:
            return Column(f"{tier_name} {int(tier[1])}", (), measure)
    return None


def _why(reading: HeaderReading, column: Column) -> str:
    spelled = (
        "it is the column's own name" if reading.words == column.name else f"{reading.words!r} is a spelling of it"
    )
    return f"{spelled}, and the header says {reading.unit}" if reading.unit else spelled
