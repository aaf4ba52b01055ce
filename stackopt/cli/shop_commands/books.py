"""The commands of ``stackopt shop`` that take a book in and give one out."""

from __future__ import annotations

from pathlib import Path
from shlex import quote

import click
from msgspec.structs import replace

from stackopt.books.facts.book_records import Books
from stackopt.books.facts.read import read_books
from stackopt.books.out.stock_sheet import stock_sheet
from stackopt.cli.agreeing import check_agreed, is_agreed
from stackopt.cli.exit_codes import INPUT_IS_WRONG
from stackopt.cli.helping import examples
from stackopt.cli.ledger_options import at_option, looking_options, noted_options
from stackopt.cli.sources.named_books import check_master, master_option
from stackopt.problems import InputError, Place, Problem
from stackopt.shop.database.note import Note
from stackopt.shop.ledger import first_differences, ledger_is_there, make_ledger, open_ledger
from stackopt.shop.loads.difference import Difference


@click.command(epilog=examples("shop load shop.xlsx quillhaven.csv", "shop load shop.xlsx --part BG-040 --yes"))
@noted_options
@click.option(
    "--part",
    "parts",
    multiple=True,
    metavar="PART",
    help="Accept what concerns this part, or this engine, alone; repeatable.",
)
@click.option("--yes", is_flag=True, help="Accept without being asked.")
@master_option
@at_option
@click.argument("books", nargs=-1, required=True, type=click.Path(path_type=Path), metavar="BOOK...")
def load(  # noqa: PLR0913 - one for each option
    ledger: str,
    note: Note,
    at: str,
    *,
    parts: tuple[str, ...],
    yes: bool,
    master: Path | None,
    books: tuple[Path, ...],
) -> None:
    """Store what books say otherwise than the ledger: counts, price lists, sets, work, engines, usage.

    The differences are shown first. A stock list counts what it lists; a supplier's list is that supplier's whole list;
    what no book mentions stays as it is. The first load makes the ledger. Rows that are refused or in question are
    not loaded; the exit code is then 2.
    """
    opened = open_ledger(ledger) if ledger_is_there(ledger) else None
    check_master(master, books)
    read = read_books(books, master, known_parts={} if opened is None else opened.supply(as_listed=True).parts)
    for told in (*read.problems, *(f"Question: {question}" for question in read.questions)):
        click.echo(str(told), err=True)
    left_out = _left_out(read)
    sheet = stock_sheet(read)
    differences_of = first_differences if opened is None else opened.differences
    found = differences_of(read.supply, read.engines, sheet, read.usage, at)
    wanted = [difference for difference in found if not parts or difference.called in parts]
    if not wanted:
        _check_mentioned(parts, read)
        click.echo(f"Nothing to store: the ledger says the same{left_out and f' except for the {left_out}'}.")
        raise SystemExit(INPUT_IS_WRONG if left_out else 0)
    for difference in wanted:
        click.echo(str(difference))
    wanted = _without_older(wanted, parts, yes=yes)
    if not wanted:
        click.echo("Nothing is stored: what moved since stays as it is.")
        raise SystemExit(INPUT_IS_WRONG if left_out else 0)
    differences = _counted(len(wanted), "difference", "differences") + (left_out and f", without the {left_out}")
    if not yes:
        check_agreed(f"Store {differences}?")
    reason = note.why or ", ".join(map(str, books))
    accepted = replace(note, why=reason)
    stored = make_ledger(ledger)
    stored.load(read.supply, accepted, read.engines, wanted, sheet, used=read.usage, at=at)
    click.echo(f"Stored {differences}.")
    for doubtful in stored.no_longer_listed() if read.supply.offers else ():
        click.echo(str(doubtful))
    if left_out:
        raise SystemExit(INPUT_IS_WRONG)


def _without_older(wanted: list[Difference], named: tuple[str, ...], *, yes: bool) -> list[Difference]:
    """Leave out what an older book says, which would undo what was stored since, unless that is accepted by name."""
    kept = []
    for difference in wanted:
        older = difference.is_older and difference.called not in named
        if older and not yes:
            older = not is_agreed(_older_question(difference), f"--part {quote(difference.called)} --yes")
        if not older:
            kept.append(difference)
        elif yes:
            click.echo(_left_words(difference))
    return kept


def _older_question(difference: Difference) -> str:
    if difference.moved:
        return f"{difference.part}: undo what moved since ({difference.moved})?"
    return f"{difference.called}: {difference.stands}. Take what this book says all the same?"


def _left_words(difference: Difference) -> str:
    why = f"{difference.stands}. If the book is right"
    if difference.moved:
        why = f"since the list is older than what moved ({difference.moved}). If the list is right"
    return f"{difference.called}: left as it is, {why}: --part {quote(difference.called)}"


def _left_out(read: Books) -> str:
    """Say how many entries are not loaded; empty where all are."""
    counts = ((len(read.problems), "refused"), (len(read.questions), "in question"))
    return " and ".join(f"{_counted(number, 'entry', 'entries')} {what}" for number, what in counts if number)


def _check_mentioned(parts: tuple[str, ...], read: Books) -> None:
    """Refuse to accept a part alone of which the books say nothing: it is misspelt."""
    mentioned = read.parts.keys() | read.kits.keys() | {engine.name for engine in read.engines}
    problems = [
        Problem(Place(item="--part"), part, "a part of these books, or an engine")
        for part in parts
        if part not in mentioned
    ]
    if problems:
        raise InputError(*problems)


def _counted(number: int, one: str, more: str) -> str:
    return f"{number} {one if number == 1 else more}"


@click.command()
@looking_options
@at_option
@click.option("--force", is_flag=True, help="Replace the file that stands there.")
@click.argument("book", type=click.Path(path_type=Path), metavar="BOOK")
def export(ledger: str, at: str, force: bool, book: Path) -> None:
    """Write the stock list back as a spreadsheet, .xlsx or .csv, with the same columns in which it was loaded."""
    # openpyxl takes longer to import than the other commands take to run.
    from stackopt.books.out.stock_list import write_stock_list  # noqa: PLC0415

    opened = open_ledger(ledger)
    parts = write_stock_list(book, opened.supply(as_listed=True, at=at), opened.stock_sheet(), replace=force)
    click.echo(f"{book}: {parts} parts.")
