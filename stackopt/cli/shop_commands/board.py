"""``stackopt shop board``: every open engine, what it waits for, and what is next."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date

import click

from stackopt.choose.built.board import BoardLine
from stackopt.cli.ledger_options import looking_options
from stackopt.cli.options import Day
from stackopt.cli.printing import print_json
from stackopt.report.shop.document import board_document
from stackopt.shop.ledger import open_ledger

today_option = click.option(
    "--today", type=Day(), metavar="DATE", default=date.today, help="The day to count from, as 2027-02-01; else today."
)


@click.command()
@looking_options
@today_option
@click.option("--all", "every", is_flag=True, help="Print every engine that was ever closed too, not the last ten.")
@click.option("--json", "as_json", is_flag=True, help="Print one JSON document instead of a table.")
@click.option("--no-color", is_flag=True, help="Print without colour; NO_COLOR and pipes do so too.")
def board(ledger: str, today: date, *, every: bool, as_json: bool, no_color: bool) -> None:
    """Print every open engine: due date, state, when it is ready, how late it is, what it waits for, what is next.

    The states: to plan, blocked, waiting for parts, ready to build, being fitted, closed.
    """
    lines = open_ledger(ledger).board(today, every=every)
    if as_json:
        print_json(board_document(lines))
    else:
        print_board(lines, no_color=no_color)


def print_board(lines: Sequence[BoardLine], *, no_color: bool) -> None:
    """Print the board for people."""
    from stackopt.report.answer.page import terminal  # noqa: PLC0415 - rich is only for those who read tables
    from stackopt.report.shop.page import board_text  # noqa: PLC0415

    click.echo(board_text(terminal(colour=not no_color), lines))
