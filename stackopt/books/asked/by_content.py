"""Which of several columns with like headers is meant, where what stands in them tells it without a question."""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from fractions import Fraction

from msgspec.structs import replace

from stackopt.books.asked.missing import unmeant
from stackopt.books.asked.unit_questions import USUAL_MM
from stackopt.books.files.sheets import Cell, Sheet, written
from stackopt.books.layout.layouts import Layout
from stackopt.books.layout.sections import TableSection
from stackopt.books.words.describing.families import EVERY_CYLINDER
from stackopt.books.words.describing.kinds import kind_named
from stackopt.books.words.headers import MatchedColumn, readings
from stackopt.books.words.numerals import numeral
from stackopt.units import LENGTH_UNITS

_LINE = re.compile(r"(\d{1,5})\.?")
_ID = re.compile(r"\s*id\.?\s*", re.IGNORECASE)
# Half of 0.001 in and half of 0.01 mm.
DIGITS_LEFT_OUT_MM = 0.0127 + 0.005 + 1e-9
HALF_A_CENT = Fraction(1, 200) + Fraction(1, 10**9)
# Two words, as no part number has.
_NAME = re.compile(r"[^\W\d_]{3,}[\W_](?:.*[\W_])?[^\W\d_]{3,}")
LONGEST_NAME = 120
CYLINDER_NAMES = frozenset(
    {"front", "rear", "left", "right", "f", "r", "l", "lh", "rh"}
    | {"vorn", "hinten", "links", "rechts", "avant", "arrière"}
)
# What the trade pays, and what a list says before that.
PAID = frozenset(
    {"net", "net price", "price net", "your price", "dealer price", "trade price", "wholesale price", "workshop price"}
)
LISTED = frozenset({"list", "list price"})


def told_by_content(sheet: Sheet, section: TableSection, group: Sequence[MatchedColumn]) -> Sequence[MatchedColumn]:
    """Return the columns of a group that may still be meant, after a look at what stands in them."""
    match group[0].name:
        case "part number":
            return _without_names(sheet, section, group)
        case "kind":
            return _of_known_kinds(sheet, section, group)
        case "price":
            return _what_is_paid(sheet, section, group)
        case _:
            return group[:1] if _say_the_same(sheet, section, group) else group


def _without_names(sheet: Sheet, section: TableSection, group: Sequence[MatchedColumn]) -> Sequence[MatchedColumn]:
    """Leave columns of part numbers out in which names stand, in several words, where codes stand in another."""
    if group[0].name != "part number":
        return group
    rows = sheet.rows[section.layout.header_row + 1 : section.end]
    codes = [one for one in group if not any(_is_name(written(row[one.index])) for row in rows)]
    names = [one for one in group if one not in codes and _are_names([written(row[one.index]) for row in rows])]
    return codes if codes and len(codes) + len(names) == len(group) else group


def _is_name(text: str) -> bool:
    return _NAME.search(text[:LONGEST_NAME]) is not None


def _are_names(texts: Sequence[str]) -> bool:
    filled = [text for text in texts if text.strip()]
    return all(map(_is_name, filled))


def _of_known_kinds(sheet: Sheet, section: TableSection, group: Sequence[MatchedColumn]) -> Sequence[MatchedColumn]:
    """Return the one of several columns of kinds in which kinds of gaskets stand; all where there is no such one."""
    if group[0].name != "kind":
        return group
    rows = sheet.rows[section.layout.header_row + 1 : section.end]
    known = [one for one in group if any(kind_named(written(row[one.index])) for row in rows)]
    return known if len(known) == 1 else group


def _what_is_paid(sheet: Sheet, section: TableSection, group: Sequence[MatchedColumn]) -> Sequence[MatchedColumn]:
    """Return the price for the trade beside one list price, where no row says that it is the higher of the two.

    A discount beside them may still be taken off, so then the user is asked.
    """
    paid = [one for one in group if any(reading.words in PAID for reading in readings(one.title))]
    listed = [one for one in group if any(reading.words in LISTED for reading in readings(one.title))]
    if len(group) != 2 or len(paid) != 1 or len(listed) != 1 or "discount" in section.layout.columns:
        return group
    rows = sheet.rows[section.layout.header_row + 1 : section.end]
    pairs = [(_amount(row[paid[0].index]), _amount(row[listed[0].index])) for row in rows]
    told = [(net, full) for net, full in pairs if net is not None and full is not None]
    return paid if told and all(0 < net <= full for net, full in told) else group


def _say_the_same(sheet: Sheet, section: TableSection, group: Sequence[MatchedColumn]) -> bool:
    """Tell whether columns give one length in several units, row by row."""
    units = [one.unit for one in group]
    if len(group) < 2 or not LENGTH_UNITS.keys() >= set(units) or len(set(units)) < len(units):
        return False
    rows = sheet.rows[section.layout.header_row + 1 : section.end]
    lengths = [[_length_mm(row[one.index], one.unit) for one in group] for row in rows]
    told = [found for found in lengths if any(length is not None for length in found)]
    return bool(told) and all(None not in found and _agree(found) for found in told)


def _length_mm(cell: Cell, unit: str) -> float | None:
    number = numeral(written(cell), "." if "." in written(cell) else ",")
    return None if number is None or number.head or number.tail else float(number.value * LENGTH_UNITS[unit])


def _agree(lengths_mm: Sequence[float | None]) -> bool:
    """Tell whether lengths are the same except for the digits that lists leave out, 0.001 in and 0.01 mm."""
    told = [length_mm for length_mm in lengths_mm if length_mm is not None]
    return max(told) - min(told) <= DIGITS_LEFT_OUT_MM


def with_cylinders_named(sheet: Sheet, section: TableSection) -> Layout:
    """Return a list in which names of cylinders under ``Cyl`` are which one a part fits, not how many it covers."""
    layout = section.layout
    named = layout.columns.get("covers")
    if named is None or "position" in layout.columns:
        return layout
    texts = {written(row[named.index]).strip().lower() for row in sheet.rows[layout.header_row + 1 : section.end]} - {
        ""
    }
    if not texts or not texts <= CYLINDER_NAMES | EVERY_CYLINDER or texts.isdisjoint(CYLINDER_NAMES):
        return layout
    columns = {name: one for name, one in layout.columns.items() if name != "covers"}
    meant = replace(named, name="position", why="names of cylinders stand under it")
    return replace(layout, columns={**columns, "position": meant})


def without_ids(sheet: Sheet, section: TableSection) -> Layout:
    """Return a list without the numbers under ``ID`` that no inside diameter of a gasket can be, or that count up."""
    layout = section.layout
    named = layout.columns.get("opening")
    if named is None or named.unit or not _ID.fullmatch(named.title):
        return layout
    texts = [written(row[named.index]).strip() for row in sheet.rows[layout.header_row + 1 : section.end]]
    filled = [text for text in texts if text]
    low, high = USUAL_MM["opening"]
    is_measure = any((amount := _amount(text)) is not None and low / 25.4 <= amount <= high for text in filled)
    if is_measure and not counts_up(filled):
        return layout
    columns = {name: one for name, one in layout.columns.items() if name != "opening"}
    return replace(
        layout, columns=columns, unknown=(*layout.unknown, unmeant(named)), aside=layout.aside | {named.index}
    )


def without_the_discount(sheet: Sheet, section: TableSection) -> Layout:
    """Return a price list with its net prices alone, where they are the list prices less the discount in every row."""
    layout = section.layout
    group = next((group for group in layout.doubtful if group[0].name == "price"), ())
    discount = layout.columns.get("discount")
    if len(group) != 2 or discount is None:
        return layout
    rows = [
        [_amount(row[column.index]) for column in (*group, discount)]
        for row in sheet.rows[layout.header_row + 1 : section.end]
    ]
    told = [row for row in rows if any(amount is not None for amount in row)]
    for full, net in ((0, 1), (1, 0)):
        if told and all(_is_net(row[full], row[net], row[2]) for row in told):
            why = f"it is {group[full].title!r} less {discount.title!r} in every row"
            columns = {name: one for name, one in layout.columns.items() if name != "discount"}
            return replace(
                layout,
                columns={**columns, "price": replace(group[net], why=why)},
                unknown=(*layout.unknown, unmeant(group[full]), unmeant(discount)),
                doubtful=tuple(one for one in layout.doubtful if one is not group),
                aside=layout.aside | {group[full].index, discount.index},
            )
    return layout


def _is_net(full: Fraction | None, net: Fraction | None, discount: Fraction | None) -> bool:
    if full is None or net is None:
        return False
    share = discount or Fraction(0)
    shares = (share / 100, share) if share < 1 else (share / 100,)
    return any(abs(full * (1 - one) - net) <= HALF_A_CENT for one in shares)


def _amount(cell: Cell) -> Fraction | None:
    """Return the number of a cell, be it money or a share; None where it holds none."""
    text = written(cell)
    number = numeral(text, "," if "," in text and "." not in text else ".")
    return None if number is None else number.value


def counts_up(texts: Iterable[str]) -> bool:
    """Tell whether texts count 1, 2, 3 or 10, 20, 30; words among them do not matter."""
    filled = [text for text in texts if text]
    lines = [int(found[1]) for text in filled if (found := _LINE.fullmatch(text))]
    if not lines or lines[0] not in (1, 10) or len(lines) * 2 < len(filled):
        return False
    return lines == [lines[0] * at for at in range(1, len(lines) + 1)]


def is_index(texts: Iterable[str]) -> bool:
    """Tell whether texts are the numbers of all rows, from 0 or from 1 on."""
    filled = [text.strip() for text in texts]
    return len(filled) > 1 and any(
        all(text in (str(at), f"{at}.") for at, text in enumerate(filled, start=first)) for first in (0, 1)
    )
