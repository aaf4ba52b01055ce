"""``stackopt shop undo``: what is taken back and whose it was is said first; another's is asked about."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import click

from stackopt.cli.agreeing import check_agreed
from stackopt.cli.ledger_options import noted_options, row_number
from stackopt.problems import InputError, Place, Problem
from stackopt.report.shop.words import ended_words
from stackopt.shop.commands.undo import TakenBack
from stackopt.shop.database.note import Note
from stackopt.shop.ledger import open_ledger
from stackopt.shop.standing.history import Entry, PastEvent

MOST_LINES = 12


@click.command()
@noted_options
@click.option(
    "--yes",
    is_flag=True,
    help="Do not ask, though somebody else did it or a closed record keeps it.",
)
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
        opened.check_may(note.who, f"undo {command.what}")
        for line in _told(command, entries):
            click.echo(line)
        if command.who != note.who and not yes:
            check_agreed(f"{command.who} did that, and you are {note.who}. Take it back all the same?")
    closed = opened.closed_engine_of(number)
    if closed is not None and not yes:
        check_agreed(f"{closed}'s record is closed and keeps this quench. Take it back, and what was learned from it?")
    taken = opened.undo(number, note, learning_too=closed is not None)
    click.echo(f"Event {number}, {taken.what}, is taken back.")
    for words in _stays_words(taken):
        click.echo(words)
    for ended in taken.ended:
        click.echo(f"{ended_words(ended)} What the rest says: stackopt shop thickness")


def _stays_words(taken: TakenBack) -> Iterator[str]:
    """Yield what stays as it is though a command was taken back, and why."""
    if taken.counted:
        yield f"Counted since, and so as they were counted: {', '.join(taken.counted)}."
    if taken.kept:
        yield f"Still listed, for pieces of them are there or on their way: {', '.join(taken.kept)}."


def _told(command: PastEvent, entries: Sequence[Entry]) -> Iterator[str]:
    """Yield what a command did and whose it was, in words."""
    yield command.words
    yield from (f"  {each.words}" for each in entries[:MOST_LINES])
    if len(entries) > MOST_LINES:
        yield f"  and {len(entries) - MOST_LINES} more: stackopt shop history"
