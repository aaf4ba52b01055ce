"""A TOML text to its tables, with the fault of a text that is none."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Mapping
from pathlib import Path

from stackopt.problems import InputError, Place, Problem

LINE = re.compile(r"at line (\d+)")
CURLY_QUOTES = "“”„‟‘’‚«»"
COMMA = re.compile(r"=\s*\d+,\d+\s*$")
DATE = re.compile(r"=\s*\d{1,4}[-./]\d{1,2}[-./]\d{1,4}\s*$")


def read_toml(path: Path, what: str) -> Mapping[str, object]:
    """Read a file in TOML; `what` is how a user calls it.

    Raises
    ------
    InputError
        When it cannot be opened, or is not TOML.
    """
    try:
        # Editors on some systems put a byte order mark in front, which TOML does not know.
        text = path.read_text(encoding="utf-8-sig")
    except OSError as error:
        mend = f"The system says: {error.strerror}."
        raise InputError(Problem(Place(str(path)), "", f"{what} that can be opened", mend)) from None
    except UnicodeDecodeError:
        mend = "This file is not plain text in UTF-8; a spreadsheet is read as a book."
        raise InputError(Problem(Place(str(path)), "", f"{what} in TOML", mend)) from None
    return parse_toml(text, str(path), what)


def parse_toml(text: str, where: str, what: str) -> Mapping[str, object]:
    """Read a text in TOML; `where` and `what` are how a message names it.

    Raises
    ------
    InputError
        When it is not TOML.
    """
    try:
        return tomllib.loads(text)
    except (ValueError, RecursionError) as error:
        mend = f"Reading stopped here: {error}. {_mend_of(line := _line_of(text, error))}"
        raise InputError(Problem(Place(where), line, f"{what} in TOML", mend)) from None


def _line_of(text: str, error: Exception) -> str:
    """Return the line at which reading stopped; nothing where the fault names none."""
    named = LINE.search(str(error))
    lines = text.splitlines()
    number = int(named[1]) if named else 0
    return lines[number - 1].strip() if 0 < number <= len(lines) else ""


def _mend_of(line: str) -> str:
    """Say what is most likely wrong with a line that is not TOML."""
    if any(quote in line for quote in CURLY_QUOTES):
        return 'Write straight quotes, as in deck = "0.11 mm proud".'
    if "=" not in line and not line.startswith("["):
        return "A key and its value stand with = between them; a remark begins with #."
    if COMMA.search(line):
        return "Write a point, not a comma, before the decimals."
    if DATE.search(line):
        return "A date is year, month, day, as 2027-02-12."
    return 'A text stands in quotes, as deck = "0.11 mm proud".'
