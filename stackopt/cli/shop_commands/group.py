"""``stackopt shop``: the shop's own record. The commands on the shelf and on its history are here."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from shlex import quote
from typing import Any

import click

from stackopt.cli.agreeing import check_agreed
from stackopt.cli.asking import somebody_answers
from stackopt.cli.helping import HelpfulGroup, examples
from stackopt.cli.ledger_options import (
    MOST_PIECES,
    WholeNumber,
    at_option,
    bin_option,
    ledger_option,
    looking_options,
    noted_options,
    pieces_argument,
)
from stackopt.cli.printing import print_json
from stackopt.cli.shop_commands.asking import answered, ask
from stackopt.cli.shop_commands.board import board
from stackopt.cli.shop_commands.books import export, load
from stackopt.cli.shop_commands.builds import adopt, build, close, measure, thickness
from stackopt.cli.shop_commands.documents import events_document, history_document
from stackopt.cli.shop_commands.orders import orders, prices, receive
from stackopt.cli.shop_commands.people import who
from stackopt.cli.shop_commands.places import branch, branches, move, transfer, transfers
from stackopt.cli.shop_commands.placing import cancel, confirm, send, sheet
from stackopt.cli.shop_commands.stock import stock
from stackopt.cli.shop_commands.taking import use
from stackopt.cli.shop_commands.undoing import undo
from stackopt.cli.shop_commands.urgent import urgent
from stackopt.cli.tables import print_pieces, print_table
from stackopt.problems import InputError, Place, Problem
from stackopt.shop.commands.losing import Loss
from stackopt.shop.database.faults import damaged, without_password
from stackopt.shop.database.note import Note
from stackopt.shop.ledger import Ledger, open_ledger
from stackopt.shop.standing.history import PastEvent
from stackopt.shop.standing.placed import OWN_LIST

RECENT = 20

held_too_option = click.option("--yes", is_flag=True, help="Take held pieces too, without being asked.")


@click.group(cls=HelpfulGroup)
def shop() -> None:
    """Keep the shop's record: what lies there, what is held, ordered and used, and what was built.

    Nothing in it is ever changed or removed; a correction is a further entry. Where it lies: --ledger, STACKOPT_LEDGER,
    else stackopt.db in the folder you are in.
    """


@shop.command(epilog=examples("shop count BG-040=5 HG-050=12", "shop count BG-040=2 --bin R7"))
@noted_options
@at_option
@click.option("--bin", "in_bin", metavar="BIN", default="", help="What lies in this bin alone; else in all of them.")
@pieces_argument(least=0)
def count(ledger: str, note: Note, at: str, in_bin: str, pieces: dict[str, int]) -> None:
    """Set what is on the shelf to what was counted, held pieces included.

    Who held pieces that are not there loses them, the least urgent first, and is to be planned again.
    """
    counted = open_ledger(ledger).count(pieces, note, at, in_bin=in_bin)
    for number, found in counted.differences.items():
        click.echo(f"{number}: {'as expected' if not found else f'{found:+d} against the ledger'}")
    for loss in counted.losses:
        click.echo(lost_words(loss))


def lost_words(loss: Loss) -> str:
    """Return who loses what, and what is next for him."""
    again = "" if loss.engine == OWN_LIST else f", to be planned again: stackopt fit {quote(loss.engine)} --hold"
    return f"{loss}{again}"


def _is_losing_agreed(opened: Ledger, taken: Mapping[str, int], at: str, *, yes: bool) -> bool:
    """Ask before held pieces go, and say who loses them; where nobody answers, they stay held and the command fails."""
    lost = opened.losses(taken, at)
    if lost and not yes and not somebody_answers():
        click.echo(f"With --yes these go all the same: {'; '.join(map(str, lost))}.", err=True)
        return False
    if lost and not yes:
        check_agreed(f"These are held: {'; '.join(map(str, lost))}. Take them all the same?")
    for loss in lost:
        click.echo(lost_words(loss))
    return bool(lost)


@shop.command(
    context_settings={"ignore_unknown_options": True},
    epilog=examples('shop correct BG-040 -1 --why "one entered twice"'),
)
@noted_options
@held_too_option
@at_option
@bin_option
@click.argument("part")
@click.argument("difference", type=WholeNumber(-MOST_PIECES, MOST_PIECES), metavar="DIFFERENCE")
def correct(  # noqa: PLR0913, PLR0917 - one for each option
    ledger: str, note: Note, at: str, in_bin: str, part: str, difference: int, *, yes: bool
) -> None:
    """Add to the shelf, or take from it, what an error in the ledger left out; --why says what went wrong."""
    if not note.why:
        raise click.UsageError("A correction needs its reason: --why TEXT")
    opened = open_ledger(ledger)
    held_too = _is_losing_agreed(opened, {part: -difference}, at, yes=yes)
    opened.correct(part, difference, note, at, held_too=held_too, in_bin=in_bin)
    click.echo(f"{part}: {difference:+d}")


@shop.command()
@noted_options
@held_too_option
@at_option
@bin_option
@pieces_argument()
def scrap(  # noqa: PLR0913 - one for each option
    ledger: str, note: Note, at: str, in_bin: str, pieces: dict[str, int], *, yes: bool
) -> None:
    """Take pieces off the shelf that are no longer good; where engines hold them, who loses them is asked."""
    opened = open_ledger(ledger)
    held_too = _is_losing_agreed(opened, pieces, at, yes=yes)
    opened.scrap(pieces, note, at, held_too=held_too, in_bin=in_bin)
    print_pieces("Off the shelf", pieces)


@shop.command()
@noted_options
@click.argument("engine")
def release(ledger: str, note: Note, engine: str) -> None:
    """Give back what an engine holds and waits for."""
    opened = open_ledger(ledger)
    released = opened.release(engine, note)
    print_pieces("Free again", released.held)
    if released.waived:
        print_pieces("No longer waits for, and on the shelf when it comes", released.waived)


@shop.command("return")
@noted_options
@click.option("--at", metavar="BRANCH", default=None, help="On the shelf of which branch; else where it is built.")
@click.argument("engine")
@pieces_argument()
def bring_back(ledger: str, note: Note, at: str | None, engine: str, pieces: dict[str, int]) -> None:
    """Put pieces that were used in an engine back on the shelf."""
    open_ledger(ledger).bring_back(engine, pieces, note, at)
    print_pieces("Back on the shelf", pieces)


@shop.command()
@looking_options
@click.option("--json", "as_json", is_flag=True, help="Print one JSON document instead of a table.")
@click.argument("about", required=False, metavar="[PART|ENGINE]")
def history(ledger: str, about: str | None, *, as_json: bool) -> None:
    """Print every movement of a part or an engine, or the last commands of all."""
    opened = open_ledger(ledger)
    if about is None and as_json:
        print_json(events_document(opened.events(RECENT)))
        return
    if about is None:
        heads: tuple[str, ...] = ("event", "time (UTC)", "what", "who", "why")
        print_table(heads, [(e.number, e.at, _what(e), e.who, e.why) for e in opened.events(RECENT)])
        return
    entries = opened.history(about)
    if not entries:
        raise InputError(Problem(Place(opened.shown), about, "a part or an engine that something happened to"))
    if as_json:
        print_json(history_document(entries))
        return
    columns = {"at": [entry.branch for entry in entries], "bin": [entry.bin for entry in entries]}
    places = tuple(head for head, cells in columns.items() if any(cells))
    heads = ("event", "time (UTC)", "what", "pieces", "part", *places, "engine", "order", "who", "why")
    rows = [
        (
            *(each.event, each.at, each.act, each.quantity, each.part),
            *(columns[head][position] for head in places),
            *(each.engine, each.purchase or "", each.who, each.why),
        )
        for position, each in enumerate(entries)
    ]
    print_table(heads, rows)


def _what(event: PastEvent) -> str:
    return event.what if event.undoes is None else f"{event.what}, event {event.undoes}"


@shop.command()
@looking_options
@click.argument("file", type=click.Path(path_type=Path))
def backup(ledger: str, file: Path) -> None:
    """Copy the whole ledger into a new file while others work, and read the copy back.

    The copy is a ledger itself: --ledger FILE opens it.
    """
    rows = open_ledger(ledger).back_up(file)
    click.echo(f"{file}: {rows} rows, read back and the same.")


@shop.command()
@looking_options
def verify(ledger: str) -> None:
    """Read everything: each row against its seal, all events against their chain, every sum anew; say what is damaged.

    Exit codes: 0 nothing is damaged; 2 something is.
    """
    opened = open_ledger(ledger)
    found = opened.verify()
    if found.damage:
        raise InputError(*(problem for words in found.damage for problem in damaged(words).problems))
    click.echo(f"{opened.shown}: {found.events} events, {found.rows} rows, all as they were written.")


@shop.command()
@ledger_option
@click.argument("file", type=click.Path(path_type=Path))
def restore(ledger: str, file: Path) -> None:
    """Copy a backup into a ledger that does not exist yet: a new file, or an empty database."""
    rows = open_ledger(str(file)).restored_to(ledger)
    click.echo(f"{without_password(ledger)}: {rows} rows, read back and the same.")


_MORE: tuple[Any, ...] = (
    *(stock, board),
    *(branch, branches, transfer, transfers, move),
    *(load, export),
    *(orders, sheet, send, confirm, receive, cancel, prices),
    *(ask, answered),
    *(use, undo, urgent),
    *(measure, thickness, adopt, build, close),
    who,
)
for _command in _MORE:
    shop.add_command(_command)
