"""A TOML text to its tables, with the fault of a text that is none."""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from pathlib import Path

from stackopt.problems import InputError, Place, Problem


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
        mend = f'Reading stopped here: {error}. A text stands in quotes, as deck = "0.11 mm proud".'
        raise InputError(Problem(Place(where), "", f"{what} in TOML", mend)) from None
