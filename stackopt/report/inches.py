"""Lengths of a laid-out answer in inches first, for who reads in inches: every text is rewritten on its way out.

So no table has to know which units its reader thinks in, and none can be forgotten.
"""

from __future__ import annotations

import math
import re
from collections.abc import Callable, Collection, Iterable

from rich.console import RenderableType
from rich.table import Table
from rich.text import Text

from stackopt.report.layout import Indented
from stackopt.units import MM_PER_INCH

_NUMBER = r"\d+(?:\.\d+)?"
# What the user wrote, in quotes; what is written in inches first already; a pair with mm first; what has to be reached,
# so that less would not do; a range with its inches below; a range; a length.
_LENGTHS = re.compile(
    rf"(?P<kept>(?<!\w)'[^'\n]*'|{_NUMBER} in(?: proud| below)? \(-?{_NUMBER} mm\))"
    rf"|(?P<mm>-?{_NUMBER}) mm, -?{_NUMBER} in\b"
    rf"|(?P<lead>\b(?:at least|cut:?|spacer) )(?P<enough>{_NUMBER}) mm\b(?![²2])"
    rf"|(?P<run>(?:at most )?{_NUMBER}(?: to {_NUMBER})? mm(?: or more)?)"
    r"(?P<gap>\s)\((?P<inch>[^()]* in(?: or more)?)\)"
    rf"|(?P<low>-?{_NUMBER}) to (?P<high>-?{_NUMBER}) mm\b(?![²2])"
    rf"|(?P<single>-?{_NUMBER}) mm\b(?![²2])"
)
# What else a reader in inches knows in other units: 1 psi = 6.894757 kPa, 1 ft = 0.3048 m (NIST SP 811, app. B.8).
_OTHERS = re.compile(rf"(?P<bar>{_NUMBER}) bar\b|(?P<speed>{_NUMBER}) m/s|\bat (?P<height>-?{_NUMBER}) m\b(?![²2/])")
PSI_PER_BAR, M_PER_FOOT = 100 / 6.894757, 0.3048
# From here on a thousandth of an inch is fine enough.
LARGE_MM = 25.4


def inch_first(text: str) -> str:
    """Return a text with its lengths in inches: alone, or before the mm where both stood there.

    Pressures stand in psi first, speeds in ft/s, heights above the sea in ft.
    """
    return _OTHERS.sub(_in_feet, _LENGTHS.sub(_in_inches, text))


def _in_feet(match: re.Match[str]) -> str:
    if match["bar"]:
        return f"{float(match['bar']) * PSI_PER_BAR:.0f} psi, {match['bar']} bar"
    if match["speed"]:
        return f"{float(match['speed']) / M_PER_FOOT:.1f} ft/s, {match['speed']} m/s"
    return f"at {float(match['height']) / M_PER_FOOT:.0f} ft"


def _in_inches(match: re.Match[str]) -> str:
    if match["kept"]:
        return match["kept"]
    if match["mm"]:
        return f"{_inches(match['mm'])} in, {match['mm']} mm"
    if match["enough"]:
        return f"{match['lead']}{_inches_enough(match['enough'])} in"
    if match["run"]:
        return f"{match['inch']}{match['gap']}({match['run']})"
    if match["low"]:
        return f"{_inches(match['low'])} to {_inches(match['high'])} in"
    return f"{_inches(match['single'])} in"


def _inches(length_mm: str) -> str:
    value_mm = float(length_mm)
    return f"{value_mm / MM_PER_INCH:.{3 if abs(value_mm) >= LARGE_MM else 4}f}"


def _inches_enough(length_mm: str) -> str:
    """Return inches that are not less: a cut that is a ten-thousandth short does not do."""
    return f"{math.ceil(float(length_mm) / MM_PER_INCH * 1e4 - 1e-6) / 1e4:.4f}"


def inch_section(section: Iterable[RenderableType], names: Collection[str]) -> list[RenderableType]:
    """Return a section of an answer with its lengths in inches first.

    Parameters
    ----------
    section
        What stands under one heading.
    names
        Part numbers that look like lengths: what holds one of them stays as it is.
    """

    def write(text: str) -> str:
        return text if any(name in text for name in names) else inch_first(text)

    return [_rewritten(content, write) for content in section]


def looks_like_a_length(name: str) -> bool:
    """Tell whether a part number would be taken for a length."""
    return _LENGTHS.search(name) is not None


def _rewritten(content: RenderableType, write: Callable[[str], str]) -> RenderableType:
    if isinstance(content, Indented):
        inner = _rewritten(content.content, write)
        return Indented(inner) if isinstance(inner, Table | Text) else content
    if isinstance(content, str):
        return write(content)
    if isinstance(content, Text):
        return Text(write(content.plain), style=content.style)
    if isinstance(content, Table):
        return _rewritten_table(content, write)
    return content


def _rewritten_table(laid: Table, write: Callable[[str], str]) -> Table:
    """Lay the same table out with other words in its cells."""
    other = Table(
        box=laid.box,
        show_header=laid.show_header,
        show_edge=laid.show_edge,
        pad_edge=laid.pad_edge,
        padding=laid.padding,
        header_style=laid.header_style,
    )
    for column in laid.columns:
        other.add_column(column.header, justify=column.justify, vertical=column.vertical, no_wrap=column.no_wrap)
    cells = [list(column.cells) for column in laid.columns]
    for number, row in enumerate(laid.rows):
        other.add_row(*(_rewritten(own[number], write) for own in cells), style=row.style, end_section=row.end_section)
    return other
