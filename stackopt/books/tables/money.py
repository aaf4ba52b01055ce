"""The currency of a table, and of a set of books: cents of two currencies cannot be added."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterable, Iterator, Mapping, Sequence

from stackopt.books.files.sheets import Cell, WithUnit
from stackopt.books.tables.table import Table
from stackopt.books.words.currencies import CURRENCIES, SHARED_SIGNS, may_be_same
from stackopt.books.words.vocabulary import Measure, Role
from stackopt.problems import Place, Problem, Question

UNNAMED = "currency of all amounts"
_DIGITS = re.compile(r"[-−]?\d[\d.,'’ ]*(?:[-–—]{1,2}(?=\s|$))?")
_BEHIND = re.compile(r"\s*(?:/|\bper\b).*")


def currency_of(table: Table) -> str:
    """Return the currency of a table's money, a code or a sign that several share; empty where none is said.

    What a header or a note says goes before what most cells say. A code goes before the sign that it may be meant by.
    """
    columns = [matched for matched in table.layout.columns.values() if matched.measure is Measure.MONEY]
    headed = Counter(CURRENCIES[unit] for one in columns if (unit := table.units.get(one.name, "").lower()))
    said = headed or Counter(_said_in_cells(table, [one.name for one in columns]))
    if not said:
        return CURRENCIES.get((table.inquiry.answer(UNNAMED) or "").lower(), "")
    likeliest = max(sorted(said), key=lambda one: said[one])
    codes = [one for one in said if one not in SHARED_SIGNS and may_be_same(one, likeliest)]
    return codes[0] if len(codes) == 1 else likeliest


def _said_in_cells(table: Table, columns: Iterable[str]) -> Iterator[str]:
    for cell in table.cells.get("currency", ()):
        if isinstance(cell, str) and cell.strip().lower() in CURRENCIES:
            yield CURRENCIES[cell.strip().lower()]
    for name in columns:
        for cell in table.distinct[name]:
            yield from currencies_in(cell)


def currencies_in(cell: Cell) -> set[str]:
    """Return the currencies that stand beside the number of a cell."""
    if isinstance(cell, WithUnit):
        beside = [cell.unit]
    elif isinstance(cell, str):
        beside = _DIGITS.split(_BEHIND.sub("", cell.lower()))
    else:
        return set()
    return {CURRENCIES[one.strip()] for one in beside if one.strip() in CURRENCIES}


def currency_problems(tables: Sequence[Table]) -> list[Problem]:
    """Return a problem where the books name more than one currency; a sign that may be the other's is asked about."""
    said = [(currency, table) for table in tables if (currency := currency_of(table))]
    codes = {currency for currency, _ in said if currency not in SHARED_SIGNS}
    first_place: dict[str, Place] = {}
    named: dict[str, Table] = {}
    for currency, table in said:
        meant = _meant(table, currency, codes) if currency in SHARED_SIGNS and codes else currency
        first_place.setdefault(meant, _place(table))
        if table.layout.role is Role.OFFERS:
            named.setdefault(meant or currency, table)
    _ask_unnamed(tables, said, named)
    first_place.pop("", None)
    if len(first_place) < 2:
        return []
    (one, where), *others = first_place.items()
    mend = "Convert one of the price lists, or leave it out."
    return [Problem(place, other, f"{one}, the currency at {where}", mend) for other, place in others]


def _ask_unnamed(tables: Sequence[Table], said: Sequence[tuple[str, Table]], named: Mapping[str, Table]) -> None:
    """Ask in what money a price list is that names none, where another price list names one."""
    for table in tables if named else ():
        is_named = any(table is other for _, other in said) and table.inquiry.answer(UNNAMED) is None
        if table.layout.role is not Role.OFFERS or is_named:
            continue
        other = next(iter(named.values()))
        expected = f"to know in what money the prices are, as {other.sheet.whole_place} says {', '.join(named)}"
        found = "prices without a currency"
        table.inquiry.ask(Question(_place(table), found, expected, tuple(named), UNNAMED, is_open=True))


def _meant(table: Table, sign: str, codes: set[str]) -> str:
    """Ask which currency a shared sign stands for, where a code that it may be stands in another table."""
    possible = sorted(code for code in codes if may_be_same(sign, code))
    if not possible:
        return sign
    others = sorted(SHARED_SIGNS[sign] - set(possible))
    expected = f"to know which currency {sign!r} is, as another list says {', '.join(possible)}"
    question = Question(_place(table), sign, expected, (*possible, *others), f"currency {sign}")
    return table.inquiry.ask(question) or ""


def _place(table: Table) -> Place:
    """Return the place of the first column of money."""
    columns = [matched.index for matched in table.layout.columns.values() if matched.measure is Measure.MONEY]
    return table.sheet.column_place(min(columns)) if columns else table.sheet.whole_place
