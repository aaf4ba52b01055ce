"""How a notebook shows tables: a heading and a table each, numbers short enough to read."""

from __future__ import annotations

from collections.abc import Mapping
from html import escape

import pandas as pd

# So many rows are shown of a long table.
MOST_ROWS = 20


def tables_html(tables: Mapping[str, pd.DataFrame], *, before: str = "", behind: str = "") -> str:
    """Return tables as HTML, the empty ones left out; `before` and `behind` are HTML already."""
    shown = [
        f"<h4>{escape(name)}{_of_how_many(table)}</h4>{table.head(MOST_ROWS).to_html(float_format=_short, na_rep='')}"
        for name, table in tables.items()
        if len(table)
    ]
    return "".join((before, *shown, behind))


def _of_how_many(table: pd.DataFrame) -> str:
    return "" if len(table) <= MOST_ROWS else f" (the first {MOST_ROWS} of {len(table)})"


def _short(value: float) -> str:
    return f"{value:.3f}".rstrip("0").rstrip(".")
