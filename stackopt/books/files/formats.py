"""Formats that show more than the number: a unit behind it, digits and dashes around it; and texts struck out.

The user sees ``0.40 mm`` or ``00-123`` where the file holds 0.4 or 123; what he sees is what he wrote.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator, Mapping
from typing import TypeVar
from xml.etree import ElementTree

from stackopt.books.files.sheets import Cell, WithUnit, written

T = TypeVar("T")
Shown = Callable[[float], str | bool | WithUnit]

_TOKEN = re.compile(r'"([^"]*)"|\\(.)|_.|\*.|\[\$([^\]-]*)[^\]]*\]|\[[^\]]*\]|([0#?.,]+)|(.)')
_POWER = re.compile(r"[0#?]E[-+]")
_LETTER = re.compile(r"[^\W\d_]")
_SEEN = re.compile(r"[^\s\d()+\-/.,:_]")
_TELLING = re.compile(rb"""formatCode|numFmtId=["'](?:9|10)["']""")
# The formats of percentages that have numbers of their own and stand in no book: ECMA-376, part 1, 18.8.30.
BUILT_IN = {"9": "0%", "10": "0.00%"}
# As above: those that round, or show a power of ten.
LOOKING_BUILT_IN = {"2": "0.00", "11": "0.00E+00"}
Look = Callable[[float], str]
_STYLE = re.compile(rb"""\ss=["'](\d+)["']""")
_PLACEHOLDERS = frozenset("0#?")
_DECIMALS = re.compile(r"#*0\.(0+)")
_SCIENTIFIC = re.compile(r"#*0(?:\.(0+))?E[-+]0+")
# A text of its own that a format shows behind the digits, as what a price is for.
_PER = re.compile(r"/\s*\d")
# The same in an `.ods` book.
# Number formats that show more than the number: digits that fill it up or stand inside it, or a unit behind it.
_DIGITS_FORMAT = re.compile(rb'number:embedded-text|number:min-integer-digits="(?:[2-9]|\d\d)')
_FORMAT_TEXT = re.compile(rb"<number:text>([^<]*)</number:text>")
_NUMBER_STYLE = re.compile(rb"<number:number-style\b.*?</number:number-style>", re.DOTALL)
SEEN_IN_OPEN = re.compile(r"[^\s()+\-]")
_STRUCK = re.compile(rb'text-line-through-(?:style|type)="(?!none")')
_NOT_STRUCK = re.compile(rb'text-line-through-style="none"')
_STYLE_NAME = re.compile(rb'style:name="([^"]*)"')


def telling_styles(styles_xml: bytes) -> dict[int, Shown]:
    """Return, by the number of a cell's style, how it shows a number; only styles that show more than the number.

    A style sheet that cannot be read tells nothing.
    """
    if not _TELLING.search(styles_xml):
        return {}
    return _by_style(styles_xml, BUILT_IN, shown_by)


def looking_styles(styles_xml: bytes) -> dict[int, Look]:
    """Return, by the number of a cell's style, how it writes a number out; only styles that fix its decimals."""
    return _by_style(styles_xml, LOOKING_BUILT_IN, look_by)


def _by_style(styles_xml: bytes, built_in: Mapping[str, str], read: Callable[[str], T | None]) -> dict[int, T]:
    try:
        root = ElementTree.fromstring(styles_xml)
    except ElementTree.ParseError:
        return {}
    own = {one.get("numFmtId", ""): one.get("formatCode", "") for one in root.iterfind("{*}numFmts/{*}numFmt")}
    found = {number: told for number, code in {**built_in, **own}.items() if (told := read(code)) is not None}
    styles = root.iterfind("{*}cellXfs/{*}xf")
    return {index: found[used] for index, style in enumerate(styles) if (used := style.get("numFmtId", "")) in found}


def look_by(code: str) -> Look | None:
    """Return how a number format writes a number out, where it fixes the decimals; None for any other."""
    section = code.split(";", maxsplit=1)[0]
    fixed, scientific = _DECIMALS.fullmatch(section), _SCIENTIFIC.fullmatch(section)
    if fixed:
        return lambda number: f"{number:.{len(fixed[1])}f}"
    if scientific:
        return lambda number: f"{number:.{len(scientific[1] or '')}E}"
    return None


def struck_styles(styles_xml: bytes) -> frozenset[int]:
    """Return the numbers of the cell styles whose font is struck out; none where the style sheet cannot be read."""
    if b"strike" not in styles_xml:
        return frozenset()
    try:
        root = ElementTree.fromstring(styles_xml)
    except ElementTree.ParseError:
        return frozenset()
    strikes = [font.find("{*}strike") for font in root.iterfind("{*}fonts/{*}font")]
    struck = {str(at) for at, one in enumerate(strikes) if one is not None and one.get("val") not in ("0", "false")}
    styles = root.iterfind("{*}cellXfs/{*}xf")
    return frozenset(index for index, style in enumerate(styles) if style.get("fontId") in struck)


def shown_by(code: str) -> Shown | None:
    """Return how a number format shows a number; None where it shows the number and no more."""
    section = code.split(";", maxsplit=1)[0].replace("General", "0")
    if _POWER.search(section):
        return None
    before, digits, behind = _parts(section)
    if not _PLACEHOLDERS.issuperset(digits[:1]) or not digits:
        return None
    if digits.endswith(",") and not digits.startswith(","):
        thousands = len(digits) - len(digits.rstrip(","))
        return lambda number: WithUnit(number / 1000**thousands, " ".join(["thousand"] * thousands))
    if behind == "%":
        return lambda number: WithUnit(round(number * 100, 10), "%")
    prefix = before if _LETTER.search(before) else ""
    mask = _mask(section.replace(f'"{prefix}"', "", 1) if prefix else section, 1 if prefix else 2)
    if mask is not None:
        return lambda number: prefix + _filled(mask, number)
    unit = " ".join(f"{before} {behind}".lower().split())
    tells = _SEEN.search(unit) or (_PER.search(behind) and "?" not in digits)
    return (lambda number: WithUnit(number, unit)) if tells and digits.count(".") < 2 else None


def _parts(section: str) -> tuple[str, str, str]:
    """Return what a section shows before its digits, the digits, and what it shows behind them."""
    before, digits, behind = "", "", ""
    for quoted, escaped, currency, placeholders, other in _TOKEN.findall(section):
        literal = quoted or escaped or currency or other
        if placeholders:
            digits += placeholders
        elif digits:
            behind += literal
        else:
            before += literal
    return before, digits, behind


def _mask(section: str, least_zeros: int) -> str | None:
    """Return a format of digits and dashes as a mask, as ``00-000``; None for any other format."""
    mask = ""
    for quoted, escaped, currency, placeholders, other in _TOKEN.findall(section):
        literal = quoted or escaped or currency or other
        if placeholders.strip("0#") or (literal and literal not in "-/ "):
            return None
        mask += placeholders or literal
    return mask if mask.count("0") >= least_zeros else None


def _filled(mask: str, number: float) -> str:
    """Return a whole number as the mask shows it."""
    if number < 0 or number != int(number):
        return written(number)
    digits = list(str(int(number)))
    shown = []
    for place in reversed(mask):
        if place not in _PLACEHOLDERS:
            shown.append(place)
        elif digits:
            shown.append(digits.pop())
        elif place == "0":
            shown.append("0")
    return "".join(digits) + "".join(reversed(shown)).lstrip("-/ ")


def styled_cells(xml: bytes, shows: Mapping[int, T]) -> Iterator[tuple[bytes, T]]:
    """Yield the opening tag of every cell that has one of these styles, in the sheet's order, with how it shows."""
    used = [style for style in shows if b's="%d"' % style in xml or b"s='%d'" % style in xml]
    if not used:
        return
    for tag in re.finditer(rb"<(?:\w+:)?c\s[^>]*>", xml):
        style = _STYLE.search(tag[0])
        if style and int(style[1]) in shows:
            yield tag[0], shows[int(style[1])]


def show(cell: Cell, shown: Shown) -> Cell:
    """Return a number as its format shows it; anything else as it is."""
    return shown(cell) if isinstance(cell, float | int) and not isinstance(cell, bool) else cell


def open_struck_styles(styles: bytes) -> list[bytes]:
    """Return the names of styles whose text is struck out."""
    blocks = styles.split(b"<style:style ")[1:] if b"text-line-through-" in styles else []
    return [
        name[1]
        for one in blocks
        if _STRUCK.search(one) and not _NOT_STRUCK.search(one) and (name := _STYLE_NAME.search(one))
    ]


SCALE = b"number:display-factor="


def open_formats_tell(styles: bytes) -> bool:
    """Tell whether a number format among styles shows more than the number."""
    for style in _NUMBER_STYLE.findall(styles):
        texts = (text.decode("utf-8", "replace") for text in _FORMAT_TEXT.findall(style))
        if SCALE in style or _DIGITS_FORMAT.search(style) or any(SEEN_IN_OPEN.search(text) for text in texts):
            return True
    return False
