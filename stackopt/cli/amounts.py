"""A sum of money as an option takes it."""

from __future__ import annotations

from typing import Any

import click

from stackopt.problems import UnreadableError
from stackopt.units import cents, money

# More than any order costs, and what a database holds in a whole number.
MOST_CENTS = 1_000_000_000


class Money(click.ParamType[int]):
    """A sum of money as it is written, 12.90, in whole cents."""

    name = "MONEY"

    def convert(self, value: Any, param: click.Parameter | None, ctx: click.Context | None) -> int:
        """Return whole cents; a text that is no sum above zero is a wrong call."""
        if isinstance(value, int):
            return value
        try:
            amount = cents(value)
        except UnreadableError as error:
            self.fail(str(error.problem), param, ctx)
        if not 0 < amount <= MOST_CENTS:
            self.fail(f"found {value!r}, expected an amount above 0 and up to {money(MOST_CENTS)}.", param, ctx)
        return amount
