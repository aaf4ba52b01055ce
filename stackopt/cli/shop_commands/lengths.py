"""Lengths as they are written on the command line."""

from __future__ import annotations

from typing import Any

import click

from stackopt.problems import UnreadableError
from stackopt.units import length_mm

# Longer than any bore.
LONGEST_MM = 500.0


class Length(click.ParamType[float]):
    """A length with its unit, as 0.91 mm or 0.036 in."""

    name = "LENGTH"

    def convert(self, value: Any, param: click.Parameter | None, ctx: click.Context | None) -> float:
        """Return millimetres; a text without a length above zero is a wrong call."""
        if isinstance(value, float):
            return value
        try:
            length = length_mm(value)
        except UnreadableError as error:
            self.fail(str(error.problem), param, ctx)
        if not 0 < length <= LONGEST_MM:
            self.fail(f"found {value!r}, expected a length above 0 and up to {LONGEST_MM:g} mm.", param, ctx)
        return length
