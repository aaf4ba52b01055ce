"""One question for many cells of a column: formulas without results, dates that may each be one of several days."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

from msgspec.structs import replace

from stackopt.books.files.sheets import Cell, Uncalculated, column_letters, written
from stackopt.books.tables.table import Table
from stackopt.books.words.cells import A_DATE, ORDERS, may_be_years, order_told, orders_of
from stackopt.problems import Place, UndecidedError, UnreadableError, plain_key

ANSWERS = {order: f"the {order} stands first" for order in ORDERS}
CALCULATE = "open the book in a spreadsheet program, let it calculate, and save it"
SHOWN = 3


def stands_first(table: Table, name: str) -> str | None:
    """Return what stands first in a column's dates, of `ORDERS`; None where neither other dates nor the user tell."""
    told = order_told(table.distinct[name])
    said = table.inquiry.answer(_of_dates(table, name)) if told is None else None
    meant = next((order for order, answer in ANSWERS.items() if answer == said), None)
    if meant is not None:
        table.inquiry.take(_of_dates(table, name))
    return meant or told


def asked_at_once(
    table: Table, name: str, in_doubt: Mapping[Cell, Sequence[int]], faults: Mapping[Cell, UnreadableError]
) -> Iterator[Cell]:
    """Ask about cells in doubt that one answer settles, and yield them; `in_doubt` holds the positions of each."""
    formulas = [cell for cell in in_doubt if isinstance(cell, Uncalculated)]
    dates = [cell for cell in in_doubt if _is_one_of_several_days(faults[cell])]
    for cells, ask in ((formulas, _ask_formulas), (dates, _ask_order)):
        if len(cells) > 1:
            ask(table, name, sorted(at for cell in cells for at in in_doubt[cell]))
            yield from cells


def _is_one_of_several_days(fault: UnreadableError) -> bool:
    return isinstance(fault, UndecidedError) and fault.problem.expected == A_DATE and len(fault.answers) > 1


def _ask_formulas(table: Table, name: str, positions: Sequence[int]) -> None:
    letter = column_letters(table.layout.columns[name].index)
    found = f"{len(positions)} formulas in column {letter} without a result that can be trusted"
    doubt = UndecidedError(found, "formulas whose results are stored in the book", (CALCULATE,))
    table.inquiry.put(doubt.asked_at(_rows(table, positions), f"formulas of {name}"))


def _ask_order(table: Table, name: str, positions: Sequence[int]) -> None:
    shown = ", ".join(dict.fromkeys(written(table.cells[name][at]) for at in positions[:SHOWN]))
    years = may_be_years(table.distinct[name])
    possible = {order for at in positions for order in orders_of(written(table.cells[name][at]), years=years)}
    answers = [answer for order, answer in ANSWERS.items() if order in possible]
    doubt = UndecidedError(shown, "to know what stands first in these dates", answers)
    table.inquiry.put(doubt.asked_at(_rows(table, positions), _of_dates(table, name)))


def _rows(table: Table, positions: Sequence[int]) -> Place:
    first, last = (table.rows[at] + 1 for at in (positions[0], positions[-1]))
    return replace(table.sheet.whole_place, item=f"rows {first} to {last}")


def _of_dates(table: Table, name: str) -> str:
    matched = table.layout.columns.get(name)
    return plain_key(f"dates of {name if matched is None else matched.title}")
