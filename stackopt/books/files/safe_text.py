"""Texts written so that no program runs them: OWASP's advice on formula injection (ASVS 1.2.10)."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:  # the reader of books needs no openpyxl, which is slow to import
    from openpyxl.cell import Cell

STARTS_A_FORMULA = ("=", "+", "-", "−", "@", "\t", "\r", "\n", "\0")


def put(cell: Cell, value: object) -> None:
    """Put a value into a workbook's cell; a text stays a text, whatever it starts with.

    Such a text gets the mark that a spreadsheet program sets when an apostrophe is typed before it: the cell shows and
    holds the text itself, and stays a text when it is edited.
    """
    cell.value = value
    if isinstance(value, str):
        cell.data_type = "s"
        cell.quotePrefix = value.startswith(STARTS_A_FORMULA)


def csv_text(text: str) -> str:
    """Return a text for a delimited file; an apostrophe goes before one that a program might run."""
    return f"'{text}" if text.startswith((*STARTS_A_FORMULA, "'")) else text


def from_csv_text(text: str) -> str:
    """Return the text that `csv_text` was given."""
    return text[1:] if text.startswith("'") and text[1:].startswith((*STARTS_A_FORMULA, "'")) else text
