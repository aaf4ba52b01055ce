"""What the reader tells the user of how it read a sheet."""

from __future__ import annotations

from stackopt.books.files.sheets import Sheet, column_letters
from stackopt.books.tables.table import Table
from stackopt.books.words.vocabulary import CURRENCIES


def column_notes(table: Table) -> list[str]:
    """Say how each column was read and why, which were kept aside, and which rows are hidden."""
    sheet, layout = table.sheet, table.layout
    notes = [f"{sheet.whole_place}: read as {layout.role}, headers in row {layout.header_row + 1}"]
    for matched in sorted(layout.columns.values(), key=lambda column: column.index):
        unit = table.units.get(matched.name, "")
        inside = f", in {UNIT_NAMES.get(unit, CURRENCIES.get(unit, unit))}" if unit else ""
        why = matched.why if matched.unit or not unit else f"{matched.why}, and a note says {unit}"
        notes.append(f"{_column(sheet, matched.index, matched.title)} read as {matched.name}{inside}, because {why}")
    notes += [f"{_column(sheet, one.index, one.title)} is not known here; kept aside" for one in layout.unknown]
    if table.mark == ",":
        notes.append(f"{sheet.whole_place}: numbers read with a decimal comma, as it is used throughout")
    hidden = [str(row + 1) for row in table.rows if row in sheet.hidden_rows] if sheet.hidden_rows else []
    if hidden:
        notes.append(f"{sheet.whole_place}: hidden rows read as well: {', '.join(hidden)}")
    if sheet.hidden:
        notes.append(f"{sheet.whole_place}: the sheet is hidden; read as well")
    return [*notes, *table.notes]


UNIT_NAMES = {
    "in": "inches",
    "inch": "inches",
    '"': "inches",
    "mil": "thousandths of an inch",
    "thou": "thousandths of an inch",
}


def _column(sheet: Sheet, index: int, title: str) -> str:
    return f"{sheet.whole_place}: column {column_letters(index)} {title!r}"
