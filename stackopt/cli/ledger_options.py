"""Where the ledger lies and who works on it: the options of every command that touches it."""

from __future__ import annotations

import functools
import getpass
from collections.abc import Callable
from typing import Any

import click

from stackopt.problems import InputError, Place, Problem
from stackopt.shop.note import Note

# In the folder where the shop keeps its books, beside them: nothing hidden, and two shops' ledgers never mix.
LEDGER_FILE = "stackopt.db"


def account_name() -> str:
    """Return the name of the account that runs the program.

    Raises
    ------
    InputError
        When the system does not know one.
    """
    try:
        return getpass.getuser()
    except (KeyError, OSError):
        raise InputError(Problem(Place(item="--who"), "", "a name", "Say who does it: --who NAME")) from None


ledger_option = click.option(
    "--ledger",
    metavar="FILE",
    default=LEDGER_FILE,
    envvar="STACKOPT_LEDGER",
    help=f"The ledger: a file, or postgresql://user@host/database. Else STACKOPT_LEDGER, else {LEDGER_FILE} here.",
)
who_option = click.option(
    "--who",
    metavar="NAME",
    default=account_name,
    envvar="STACKOPT_WHO",
    help="Who does it, for the record. Else STACKOPT_WHO, else the name of the account.",
)
why_option = click.option("--why", metavar="TEXT", default="", help="Why, for the record.")


def writing_options(command: Callable[..., Any]) -> Callable[..., Any]:
    """Add the options of a command that writes to the ledger; who and why reach it as one `note`."""

    @functools.wraps(command)
    def with_note(*, who: str, why: str, **rest: Any) -> Any:
        return command(note=Note(who, why), **rest)

    return ledger_option(who_option(why_option(with_note)))


class Pieces(click.ParamType[tuple[str, int]]):
    """Pieces of one part, written as BG-040=2."""

    name = "PART=N"

    def convert(self, value: Any, param: click.Parameter | None, ctx: click.Context | None) -> tuple[str, int]:
        """Return part number and pieces; a text that is neither is a wrong call."""
        number, _, pieces = value.rpartition("=")
        if not number or not pieces.isdecimal():
            self.fail(f"found {value!r}, expected a part and its pieces, as BG-040=2.", param, ctx)
        return number, int(pieces)


pieces_argument = click.argument("pieces", nargs=-1, required=True, type=Pieces(), metavar="PART=N...")
