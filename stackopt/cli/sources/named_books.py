"""The options that name the books, and the one that is right where they disagree."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from pathlib import Path
from typing import Any, TypeVar

import click

from stackopt.problems import InputError, Place, Problem

Command = TypeVar("Command", bound=Callable[..., Any])


def book_option(holding: str) -> Callable[[Command], Command]:
    """Return the option that names books, `holding` what they are looked into for; without any the ledger is read."""
    return click.option(
        "--book",
        "books",
        metavar="FILE",
        multiple=True,
        type=click.Path(path_type=Path),
        help=f"A spreadsheet with {holding}; may be given several times. Without any, the shop's ledger is read.",
    )


def master_option(command: Command) -> Command:
    """Add the option; check what it names with `check_master`."""
    return click.option(
        "--master",
        type=click.Path(path_type=Path),
        metavar="FILE",
        help="The one of the books that is right where two disagree on a part.",
    )(command)


def check_master(master: Path | None, books: Sequence[Path]) -> None:
    """Check that the master is one of the books.

    Raises
    ------
    InputError
        When it is not.
    """
    if master is not None and master not in books:
        named = ", ".join(map(str, books)) or "no book at all"
        raise InputError(Problem(Place(item="--master"), str(master), f"one of the books named: {named}"))
