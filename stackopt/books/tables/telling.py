"""A table to the account of how it was read."""

from __future__ import annotations

from stackopt.books.tables.account import ColumnRead
from stackopt.books.tables.table import Table


def fill_account(table: Table) -> None:
    """Write into a table's account how each column was read and why, which are kept aside, and what is hidden."""
    layout, account = table.layout, table.account
    account.rows_read = len(table.rows)
    for matched in sorted(layout.columns.values(), key=lambda column: column.index):
        unit = table.units.get(matched.name, "")
        why = matched.why if matched.unit or not unit else f"{matched.why}, and a note says {unit}"
        account.columns.append(ColumnRead(matched.index, matched.title, matched.name, unit, why))
    account.kept_aside += [(one.index, one.title) for one in layout.unknown]
    account.said += _said(table)


def _said(table: Table) -> list[str]:
    said = []
    if table.mark == ",":
        said.append("numbers read with a decimal comma, as it is used throughout")
    hidden_rows = table.sheet.hidden_rows
    hidden = [str(row + 1) for row in table.rows if row in hidden_rows] if hidden_rows else []
    if hidden:
        said.append(f"hidden rows read as well: {', '.join(hidden)}")
    if table.sheet.hidden:
        said.append("the sheet is hidden; read as well")
    return said
