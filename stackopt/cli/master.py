"""The option that names the book which is right where books disagree."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from pathlib import Path
from typing import Any, TypeVar

import click

from stackopt.problems import InputError, Place, Problem

Command = TypeVar("Command", bound=Callable[..., Any])


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
