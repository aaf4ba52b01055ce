"""How many days pass between two checks of the shelf: said once with --review-days, remembered beside the ledger."""

from __future__ import annotations

import tomllib
from pathlib import Path

from msgspec import Struct

from stackopt.problems import InputError, Place, Problem

FILE_NAME = "restock.toml"
TEXT = """\
# Days from one check of the shelf to the next. Written by `stackopt restock --review-days`.
review_days = {days}
"""


class ReviewDays(Struct, frozen=True):
    """The days, and whether the shop said them."""

    days: int
    stated: bool


def review_days(said: int | None, usual: int, ledger: str | None) -> ReviewDays:
    """Return what was said now, else what the shop said before, else what is usual.

    Parameters
    ----------
    said
        What the call says; None: nothing. With a ledger it is remembered.
    usual
        What counts where nobody ever said.
    ledger
        Where the ledger lies; None where books are read, which remember nothing.

    Raises
    ------
    InputError
        When what is remembered cannot be read, or written.
    """
    if ledger is None:
        return ReviewDays(usual if said is None else said, said is not None)
    beside = (Path() if "://" in ledger else Path(ledger).parent) / FILE_NAME
    remembered = _remembered(beside)
    if said is None:
        return ReviewDays(usual if remembered is None else remembered, remembered is not None)
    if said != remembered:
        _remember(beside, said)
    return ReviewDays(said, stated=True)


def _remember(file: Path, days: int) -> None:
    try:
        file.write_text(TEXT.format(days=days), encoding="utf-8")
    except OSError as error:
        mend = "Let stackopt write beside the ledger, or leave --review-days out."
        raise InputError(Problem(Place(str(file)), error.strerror or "", "a file that can be written", mend)) from None


def _remembered(file: Path) -> int | None:
    if not file.exists():
        return None
    try:
        days = tomllib.loads(file.read_text(encoding="utf-8")).get("review_days")
    except (tomllib.TOMLDecodeError, UnicodeDecodeError):
        days = ""
    if isinstance(days, int) and days >= 0:
        return days
    mend = "Say it anew: stackopt restock --review-days 7"
    raise InputError(Problem(Place(str(file)), "", "a line such as review_days = 7", mend))
