"""Where the ledger lies and who works on it: the options of every command that touches it."""

from __future__ import annotations

import functools
from collections.abc import Callable
from typing import Any

import click

from stackopt.cli.looking import account_name, check_may_look
from stackopt.shop.database.note import Note

# In the folder where the shop keeps its books, beside them: nothing hidden, and two shops' ledgers never mix.
LEDGER_FILE = "stackopt.db"


ledger_option = click.option(
    "--ledger",
    metavar="FILE",
    default=LEDGER_FILE,
    envvar="STACKOPT_LEDGER",
    help=f"The ledger: a file, or postgresql://user@host/database. Else STACKOPT_LEDGER, else {LEDGER_FILE} here.",
)


def _named(_context: click.Context, _option: click.Parameter, name: str) -> str:
    if not name.strip():
        raise click.BadParameter("expected a name: on record stands who did it.")
    return name.strip()


who_option = click.option(
    "--who",
    callback=_named,
    metavar="NAME",
    default=account_name,
    envvar="STACKOPT_WHO",
    help="Who does it, for the record. Else STACKOPT_WHO, else the name of the account.",
)
looker_option = click.option(
    "--who",
    metavar="NAME",
    default="",
    help="Who looks, where the shop knows its people. Else STACKOPT_WHO, else the name of the account.",
)
why_option = click.option("--why", metavar="TEXT", default="", help="Why, for the record.")


at_option = click.option(
    "--at",
    metavar="BRANCH",
    default="",
    envvar="STACKOPT_AT",
    help="At which branch of the shop. Else STACKOPT_AT, else the main branch.",
)


bin_option = click.option(
    "--bin",
    "in_bin",
    metavar="BIN",
    default="",
    help="In this bin alone. Else in that which the stock list names; what it has not comes out of the others.",
)


def noted_options(command: Callable[..., Any]) -> Callable[..., Any]:
    """Add the options of a command that writes to the ledger; who and why reach it as one `note`."""

    @functools.wraps(command)
    def with_note(*, who: str, why: str, **rest: Any) -> Any:
        return command(note=Note(who, why), **rest)

    return ledger_option(who_option(why_option(with_note)))


def looking_options(command: Callable[..., Any]) -> Callable[..., Any]:
    """Add the options of a command that only reads the ledger: where it lies, and who looks."""

    @functools.wraps(command)
    def with_a_look(*, ledger: str, who: str, **rest: Any) -> Any:
        check_may_look(ledger, who)
        return command(ledger=ledger, **rest)

    return ledger_option(looker_option(with_a_look))


# More than any shelf holds; what lies above it is a slip of the hand.
MOST_PIECES = 1_000_000
MOST_DIGITS = 20


class WholeNumber(click.IntRange):
    """A whole number between two; a text of very many digits is not said back."""

    def convert(self, value: Any, param: click.Parameter | None, ctx: click.Context | None) -> int:
        """Return the number; a text that is none, or one out of range, is a wrong call."""
        if isinstance(value, str) and len(value) > MOST_DIGITS:
            found = f"found a text of {len(value)} characters, expected a number from {self.min:,} to {self.max:,}."
            self.fail(found, param, ctx)
        return int(super().convert(value, param, ctx))


# Numbers of orders and of events: what a database counts rows with.
row_number = WholeNumber(1, 2**31 - 1)


class Pieces(click.ParamType[tuple[str, int]]):
    """Pieces of one part, written as BG-040=2; `least` is how few are accepted."""

    name = "PART=N"

    def __init__(self, least: int) -> None:
        self.least = least

    def convert(self, value: Any, param: click.Parameter | None, ctx: click.Context | None) -> tuple[str, int]:
        """Return part number and pieces; a text that is neither is a wrong call."""
        number, _, pieces = value.rpartition("=")
        if not number or not pieces.isdecimal():
            self.fail(f"found {value!r}, expected a part and its pieces, as BG-040=2.", param, ctx)
        if len(pieces) > MOST_DIGITS:
            self.fail(f"found a number of {len(pieces)} digits, expected up to {MOST_PIECES:,} pieces.", param, ctx)
        if not self.least <= int(pieces) <= MOST_PIECES:
            self.fail(f"found {value!r}, expected {self.least} to {MOST_PIECES:,} pieces.", param, ctx)
        return number, int(pieces)


def pieces_argument(least: int = 1, *, required: bool = True) -> Callable[[Callable[..., Any]], Callable[..., Any]]:
    """Add the argument of pieces by part number, each part once."""
    metavar = "PART=N..." if required else "[PART=N...]"
    return click.argument("pieces", nargs=-1, required=required, type=Pieces(least), callback=_by_part, metavar=metavar)


def _by_part(_context: click.Context, _argument: click.Parameter, pairs: tuple[tuple[str, int], ...]) -> dict[str, int]:
    pieces: dict[str, int] = {}
    for number, quantity in pairs:
        if number in pieces:
            said = f"{number}={pieces[number]} and {number}={quantity}"
            raise click.BadParameter(f"found {said}, expected each part once, with all its pieces.")
        pieces[number] = quantity
    return pieces
