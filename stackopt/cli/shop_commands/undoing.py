"""``stackopt shop undo``: what is taken back and whose it was is said first; another's is asked about."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import click

from stackopt.cli.ledger_options import noted_options, row_number
from stackopt.problems import InputError, Place, Problem
from stackopt.shop.database.note import Note
from stackopt.shop.ledger import open_ledger
from stackopt.shop.standing.history import Entry, PastEvent

MOST_LINES = 12


@click.command()
@noted_options
@click.option("--yes", is_flag=True, help="Take back what somebody else did without being asked.")
@click.argument("event", type=row_number, required=False)
def undo(ledger: str, note: Note, event: int | None, *, yes: bool) -> None:
    """Take a command back by a further entry: the last one that still stands, or the one with this number.

    Undone again, it takes back the command before. What an undo took back comes back by the undo's own number.
    """
    opened = open_ledger(ledger)
    number = opened.last_standing() if event is None else event
    if number is None:
        raise InputError(Problem(Place(opened.shown), "nothing", "a command to take back"))
    command, entries = opened.event(number)
    if command is not None:
        for line in _told(command, entries):
            click.echo(line)
        if command.who != note.who and not yes:
            click.confirm(f"{command.who} did that, and you are {note.who}. Take it back all the same?", abort=True)
    what = opened.undo(number, note)
    click.echo(f"Event {number}, {what}, is taken back.")


def _told(command: PastEvent, entries: Sequence[Entry]) -> Iterator[str]:
    """Yield what a command did and whose it was, in words."""
    why = f": {command.why}" if command.why else ""
    yield f"Event {command.number}, {command.what} by {command.who} on {command.at}{why}"
    for each in entries[:MOST_LINES]:
        engine = f" for {each.engine}" if each.engine else ""
        yield f"  {each.quantity} of {each.part} {each.act}{engine}"
    if len(entries) > MOST_LINES:
        yield f"  and {len(entries) - MOST_LINES} more: stackopt shop history"
