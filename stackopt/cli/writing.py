"""The options that write an answer as a workbook, and the writing itself."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any, TypeVar

import click
from msgspec import Struct

from stackopt.problems import InputError, Place, Problem

Command = TypeVar("Command", bound=Callable[..., Any])


class Files(Struct, frozen=True):
    """Where an answer is written, None for nowhere, and whether a file that stands there is replaced."""

    workbook: Path | None
    order_sheets: Path | None
    force: bool

    def check(self) -> None:
        """Look before anything is solved whether the files can be written.

        Raises
        ------
        InputError
            When a name does not end in .xlsx, both are the same, or a file stands there that may not be replaced.
        """
        named = [("--workbook", self.workbook), ("--order-sheets", self.order_sheets)]
        for option, path in named:
            if path is not None and path.suffix.lower() != ".xlsx":
                raise InputError(Problem(Place(item=option), str(path), "a name that ends in .xlsx"))
            if path is not None and path.exists() and not self.force:
                raise InputError(Problem(Place(item=option), str(path), "a new file", "Name another, or add --force."))
        if self.workbook is not None and self.workbook == self.order_sheets:
            raise InputError(Problem(Place(item="--order-sheets"), str(self.workbook), "another file than --workbook"))


def workbook_options(command: Command) -> Command:
    """Add the options that write an answer as workbooks."""
    path = click.Path(path_type=Path)
    options = (
        click.option("--workbook", type=path, metavar="OUT.xlsx", help="Write the whole answer as a workbook too."),
        click.option(
            "--order-sheets", type=path, metavar="OUT.xlsx", help="Write the orders, a sheet a supplier, ready to send."
        ),
        click.option("--force", is_flag=True, help="Replace the files that stand there."),
    )
    for option in reversed(options):
        command = option(command)
    return command
