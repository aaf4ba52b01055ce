"""The currency of a set of books: cents of two currencies cannot be added."""

from __future__ import annotations

import re
from collections.abc import Iterable

from stackopt.books.tables.table import Table
from stackopt.books.words.vocabulary import CURRENCIES, Measure
from stackopt.problems import Place, Problem

_SIGN = re.compile(r"[€£$¥]|\b[A-Za-z]{3}\b")


def currency_problems(tables: Iterable[Table]) -> list[Problem]:
    """Return a problem where the books name more than one currency."""
    first_place: dict[str, Place] = {}
    for table in tables:
        for matched in table.layout.columns.values():
            if matched.measure is not Measure.MONEY:
                continue
            place = table.sheet.column_place(matched.index)
            for currency in _currencies(table, matched.name):
                first_place.setdefault(currency, place)
    if len(first_place) < 2:
        return []
    (one, where), *others = first_place.items()
    mend = "Convert one of the price lists, or leave it out."
    return [Problem(place, other, f"{one}, the currency at {where}", mend) for other, place in others]


def currency_of(table: Table) -> str:
    """Return the currency in which a table's amounts are; empty where nothing says it."""
    named = {
        currency
        for matched in table.layout.columns.values()
        if matched.measure is Measure.MONEY
        for currency in _currencies(table, matched.name)
    }
    return named.pop() if len(named) == 1 else ""


def _currencies(table: Table, name: str) -> set[str]:
    said = {table.units.get(name, "").lower()}
    for cell in table.distinct[name]:
        if isinstance(cell, str):
            said.update(sign.lower() for sign in _SIGN.findall(cell))
    return {CURRENCIES[sign] for sign in said if sign in CURRENCIES}
