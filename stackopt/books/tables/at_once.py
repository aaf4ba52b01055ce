"""One question for many cells of a column: formulas without results, dates that may each be one of two days."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

from msgspec.structs import replace

from stackopt.books.files.sheets import Cell, Uncalculated, column_letters, written
from stackopt.books.tables.table import Table
from stackopt.books.words.cells import A_DATE, order_told
from stackopt.problems import Place, UndecidedError, UnreadableError, plain_key

DAY_FIRST, MONTH_FIRST = "the day stands first", "the month stands first"
CALCULATE = "open the book in a spreadsheet program, let it calculate, and save it"
SHOWN = 3


def is_day_first(table: Table, name: str) -> bool | None:
    """Tell whether the day stands first in a column's dates; None where neither other dates nor the user tell."""
    told = order_told(table.distinct[name])
    said = table.inquiry.answer(_of_dates(table, name)) if told is None else None
    if said not in (DAY_FIRST, MONTH_FIRST):
        return told
    table.inquiry.take(_of_dates(table, name))
    return said == DAY_FIRST


def asked_at_once(
    table: Table, name: str, in_doubt: Mapping[Cell, Sequence[int]], faults: Mapping[Cell, UnreadableError]
) -> Iterator[Cell]:
    """Ask about cells in doubt that one answer settles, and yield them; `in_doubt` holds the positions of each."""
    formulas = [cell for cell in in_doubt if isinstance(cell, Uncalculated)]
    dates = [cell for cell in in_doubt if _is_one_of_two_days(faults[cell])]
    for cells, ask in ((formulas, _ask_formulas), (dates, _ask_order)):
        if len(cells) > 1:
            ask(table, name, sorted(at for cell in cells for at in in_doubt[cell]))
            yield from cells


def _is_one_of_two_days(fault: UnreadableError) -> bool:
    return isinstance(fault, UndecidedError) and fault.problem.expected == A_DATE and len(fault.answers) == 2


def _ask_formulas(table: Table, name: str, positions: Sequence[int]) -> None:
    letter = column_letters(table.layout.columns[name].index)
    found = f"{len(positions)} formulas in column {letter} without a result that can be trusted"
    doubt = UndecidedError(found, "formulas whose results are stored in the book", (CALCULATE,))
    table.inquiry.put(doubt.asked_at(_rows(table, positions), f"formulas of {name}"))


def _ask_order(table: Table, name: str, positions: Sequence[int]) -> None:
    shown = ", ".join(dict.fromkeys(written(table.cells[name][at]) for at in positions[:SHOWN]))
    doubt = UndecidedError(shown, "to know which stands first in these dates", (DAY_FIRST, MONTH_FIRST))
    table.inquiry.put(doubt.asked_at(_rows(table, positions), _of_dates(table, name)))


def _rows(table: Table, positions: Sequence[int]) -> Place:
    first, last = (table.rows[at] + 1 for at in (positions[0], positions[-1]))
    return replace(table.sheet.whole_place, item=f"rows {first} to {last}")


def _of_dates(table: Table, name: str) -> str:
    matched = table.layout.columns.get(name)
    return plain_key(f"dates of {name if matched is None else matched.title}")
