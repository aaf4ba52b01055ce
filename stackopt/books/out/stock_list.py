"""The shelf as a stock list: a spreadsheet with the columns of the shop's own list, or those that `stock` reads."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence, Set
from fractions import Fraction
from itertools import takewhile
from pathlib import Path

from msgspec import structs

from stackopt.books.facts.beside import THICKNESSES
from stackopt.books.files.sheets import written
from stackopt.books.out.book_out import write_columns, write_roles
from stackopt.books.out.columns import OutColumn, Value
from stackopt.books.out.parts import STOCK_NAMES, Shelved, shelved
from stackopt.books.out.stock_sheet import HEADINGS
from stackopt.books.words.describing.kinds import kind_named
from stackopt.books.words.headers import match
from stackopt.books.words.roles import ROLES
from stackopt.books.words.vocabulary import Measure, Role
from stackopt.parts.part_records import ANY_FAMILY, StockColumn, StockSheet, Supply
from stackopt.units import LENGTH_UNITS, VOLUME_UNITS

Say = Callable[[Shelved], Value]
# What the ledger holds of these numbers is in mm and cm³.
UNITS_OF: Mapping[Measure, tuple[str, Mapping[str, Fraction]]] = {
    Measure.LENGTH: ("mm", LENGTH_UNITS),
    Measure.OPENING: ("mm", LENGTH_UNITS),
    Measure.VOLUME: ("cc", VOLUME_UNITS),
}
UNIT_COLUMNS = ("unit", "thickness unit")
# What lies there says nothing of this; a list that has no such column needs none.
NEVER_ADDED = frozenset({"reserved", "on order", "expected"})


def write_stock_list(path: Path, supply: Supply, sheet: StockSheet | None = None, *, replace: bool) -> int:
    """Write what lies on the shelf as an .xlsx or a .csv file; return how many parts it lists.

    Parameters
    ----------
    path
        Where to write.
    supply
        The shelf.
    sheet
        How the shop's own list looks; None or without columns: the columns that a stock list is read from, but for
        those in which no part says anything. A column is added to the shop's own where a fact would be lost without.
    replace
        Whether a file that stands there is replaced.

    Raises
    ------
    InputError
        When the name ends otherwise, a file stands there that may not be replaced, or the place cannot be written.
    """
    rows = [heap for each in shelved(supply) for heap in _heaps(each)]
    if sheet is None or not sheet.columns:
        write_roles(path, {Role.STOCK: rows}, replace=replace)
    else:
        under = _under_headings(sheet, rows)
        columns = [_as_it_came(column, sheet) for column in sheet.columns if column != HEADINGS]
        columns += _otherwise_lost(sheet, rows, under)
        laid_out = list(_with_headings(rows, under))
        with_headings = [_or_heading(column, is_first=column is columns[0]) for column in columns]
        write_columns(path, {Role.STOCK: (with_headings, laid_out)}, sheet.above, replace=replace)
    return len(supply.stock)


def _heaps(each: Shelved) -> Iterator[Shelved]:
    """Yield a row for each bin in which a part lies, as a stock list is read; what is said of the part stands once."""
    if len(each.line.bins) <= 1:
        yield each
        return
    once = each.line
    for heap in each.line.bins:
        yield Shelved(each.part, structs.replace(once, bin=heap.bin, on_hand=heap.on_hand, bins=()))
        once = structs.replace(each.line, reserved=0, on_order=0, expected=None)


def _under_headings(sheet: StockSheet, rows: Sequence[Shelved]) -> dict[str, tuple[str, ...]]:
    """Return the headings that each part stands under, where they still say of every part its kind and what it fits.

    Where they do not, none is written: columns say it instead.
    """
    unsaid = {"kind", "fits"} - {column.name for column in sheet.columns}
    found: dict[str, tuple[str, ...]] = {}
    shapes = set()
    for row in rows:
        lines = sheet.kept.get(row.part.number, {}).get(HEADINGS.title, "").splitlines()
        named = list(map(kind_named, lines))
        kinds = [kind for kind in named if kind is not None]
        families = [frozenset(line.split(";")) for line, kind in zip(lines, named, strict=True) if kind is None]
        says_kind = kinds == [row.part.kind] or (not kinds and "kind" not in unsaid)
        fits_any = row.part.families == {ANY_FAMILY}
        says_families = families == [row.part.families] or (not families and ("fits" not in unsaid or fits_any))
        if lines and says_kind and says_families:
            found[row.part.number] = tuple(lines)
            shapes.add(tuple(kind is None for kind in named))
    # Headings of kinds and of families within each other now in this way, now in that, would be read otherwise.
    return found if len(shapes) == 1 and len(found) == len(rows) else {}


def _with_headings(rows: Sequence[Shelved], under: Mapping[str, tuple[str, ...]]) -> Iterator[Shelved | str]:
    """Yield the rows with the headings above those that stand under them."""
    before: tuple[str, ...] = ()
    for row in sorted(rows, key=lambda row: under.get(row.part.number, ())):
        headings = under.get(row.part.number, ())
        same = sum(1 for _ in takewhile(lambda pair: pair[0] == pair[1], zip(before, headings, strict=False)))
        yield from headings[same:]
        before = headings
        yield row


def _or_heading(column: OutColumn[Shelved], *, is_first: bool) -> OutColumn[Shelved | str]:
    """Return a column that holds headings too, in their rows, if it is the first."""

    def say(row: Shelved | str) -> Value:
        if isinstance(row, str):
            return row if is_first else None
        return column.say(row)

    return OutColumn(column.header, column.note, column.example, say, column.always, column.number_format)


def _as_it_came(column: StockColumn, sheet: StockSheet) -> OutColumn[Shelved]:
    known = STOCK_NAMES.get(column.name)
    number_format = "General" if known is None or column.unit else known.number_format
    derived = (lambda _: None) if known is None else _in_its_unit(column, known.say, sheet)
    say = _kept_first(column.title, sheet, derived) if column.kept else derived
    return OutColumn(column.title, "", None, say, number_format=number_format)


def _kept_first(title: str, sheet: StockSheet, derived: Say) -> Say:
    def say(shelved: Shelved) -> Value:
        text = sheet.kept.get(shelved.part.number, {}).get(title)
        return derived(shelved) if text is None else _number_or_text(text)

    return say


def _number_or_text(text: str) -> Value:
    """Return a number where the text is how that number is written: 0012 and 3.30 stay as they are."""
    for kind in (int, float):
        try:
            if str(kind(text)) == text:
                return kind(text)
        except ValueError:
            continue
    return text


def _in_its_unit(column: StockColumn, base: Say, sheet: StockSheet) -> Say:
    """Return what says a length or a volume in its unit, written behind it where nothing else tells that.

    The unit is that of a column of units beside it where the list has one, else that of the column itself.
    """
    base_unit, units = UNITS_OF.get(ROLES[Role.STOCK].columns[column.name].measure, ("", {}))
    if not base_unit:
        return base
    matched = match(column.title, 0, ROLES[Role.STOCK])
    unit = column.unit if column.unit in units else base_unit
    is_told = matched is not None and matched.unit == unit
    beside = _units_beside(column, sheet)

    def say(shelved: Shelved) -> Value:
        value = base(shelved)
        if not isinstance(value, float):
            return value
        own = beside.get(shelved.part.number)
        number = _exact(value, units[own or unit])
        if number is None:
            return f"{value!r} {base_unit}"
        plain = int(number) if number.is_integer() else number
        return plain if own or is_told else f"{written(number)} {unit}"

    return say


def _units_beside(column: StockColumn, sheet: StockSheet) -> dict[str, str]:
    """Return the units that stand in a column of their own beside a thickness, by part."""
    titles = [each.title for each in sheet.columns if each.name in UNIT_COLUMNS] if column.name in THICKNESSES else []
    said = {
        part: cells[title].strip().lower() for title in titles for part, cells in sheet.kept.items() if title in cells
    }
    return {part: unit for part, unit in said.items() if unit in LENGTH_UNITS}


def _exact(value: float, factor: Fraction) -> float | None:
    """Return the shortest number that is this value in the unit and is read back as the very same; None if none is."""
    for digits in (3, 6, 9, 12, 15, 17):
        number = float(f"{value / float(factor):.{digits}g}")
        if float(Fraction(repr(number)) * factor) == value:
            return number
    return None


def _otherwise_lost(
    sheet: StockSheet, rows: list[Shelved], under: Mapping[str, tuple[str, ...]]
) -> Iterator[OutColumn[Shelved]]:
    """Yield columns of what is known of some part and stands in no column of the shop's own list."""
    names = {column.name for column in sheet.columns} | NEVER_ADDED
    free = {column.title for column in sheet.columns if column.name == "free thickness"}
    worked_out = {part for part, cells in sheet.kept.items() if free & cells.keys()}
    for name, column in STOCK_NAMES.items():
        if name not in names:
            told = under.keys() if name in ("kind", "fits") else worked_out
            say = _unless_known(name, column.say, told)
            if any(say(row) is not None for row in rows):
                yield OutColumn(column.header, column.note, None, say, number_format=column.number_format)


def _unless_known(name: str, base: Say, told: Set[str]) -> Say:
    def say(shelved: Shelved) -> Value:
        if name == "fits" and shelved.part.families == {ANY_FAMILY}:
            return None
        if name in ("thickness", "thickness tolerance", "kind", "fits") and shelved.part.number in told:
            return None
        return base(shelved)

    return say
