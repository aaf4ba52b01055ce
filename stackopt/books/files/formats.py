"""Number formats of an `.xlsx` book that show more than the number: a unit behind it, digits and dashes around it.

The user sees ``0.40 mm`` or ``00-123`` where the file holds 0.4 or 123; what he sees is what he wrote.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator, Mapping
from xml.etree import ElementTree

from stackopt.books.files.sheets import Cell, WithUnit, written
from stackopt.units import AREA_UNITS, LENGTH_UNITS, VOLUME_UNITS

Shown = Callable[[float], str | WithUnit]
MEASURE_UNITS = LENGTH_UNITS.keys() | VOLUME_UNITS.keys() | AREA_UNITS.keys()

_TOKEN = re.compile(r'"([^"]*)"|\\(.)|_.|\*.|\[[^\]]*\]|([0#?.,]+)|(.)')
_STYLE = re.compile(rb"""\ss=["'](\d+)["']""")
_PLACEHOLDERS = frozenset("0#?")


def telling_styles(styles_xml: bytes) -> dict[int, Shown]:
    """Return, by the number of a cell's style, how it shows a number; only styles that show more than the number.

    A style sheet that cannot be read tells nothing.
    """
    if b"formatCode" not in styles_xml:
        return {}
    try:
        root = ElementTree.fromstring(styles_xml)
    except ElementTree.ParseError:
        return {}
    codes = {one.get("numFmtId"): one.get("formatCode", "") for one in root.iterfind("{*}numFmts/{*}numFmt")}
    shows = {number: shown for number, code in codes.items() if (shown := shown_by(code)) is not None}
    styles = root.iterfind("{*}cellXfs/{*}xf")
    return {index: shows[used] for index, style in enumerate(styles) if (used := style.get("numFmtId")) in shows}


def shown_by(code: str) -> Shown | None:
    """Return how a number format shows a number; None where it shows the number and no more."""
    literals, digits = _parts(code.split(";", maxsplit=1)[0])
    unit = "".join(literals).strip().lower()
    if unit in MEASURE_UNITS and len(digits) == 1:
        return lambda number: WithUnit(number, unit)
    mask = _mask(code.split(";", maxsplit=1)[0])
    return None if mask is None else lambda number: _filled(mask, number)


def _parts(section: str) -> tuple[list[str], list[str]]:
    literals, digits = [], []
    for quoted, escaped, placeholders, other in _TOKEN.findall(section):
        if placeholders:
            digits.append(placeholders)
        else:
            literals.append(quoted or escaped or other)
    return literals, digits


def _mask(section: str) -> str | None:
    """Return a format of digits and dashes as a mask, as ``00-000``; None for any other format."""
    mask = ""
    for quoted, escaped, placeholders, other in _TOKEN.findall(section):
        literal = quoted or escaped or other
        if placeholders.strip("0#") or (literal and literal not in "-/ "):
            return None
        mask += placeholders or literal
    return mask if mask.count("0") >= 2 else None


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


def styled_cells(xml: bytes, shows: Mapping[int, Shown]) -> Iterator[tuple[bytes, Shown]]:
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
