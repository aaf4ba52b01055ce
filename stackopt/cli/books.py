"""Commands on books: read them and say what was understood and what is wrong."""

from __future__ import annotations

import re
from pathlib import Path

import click

from stackopt.books.facts.book_records import Books
from stackopt.books.facts.read import examine_books
from stackopt.books.files.sheets import column_number
from stackopt.books.out.engine_template import write_engine_template
from stackopt.books.told.document import books_document
from stackopt.books.told.page import summary
from stackopt.books.words.inquiry import GivenAnswer
from stackopt.books.words.remembered import keep_learned
from stackopt.cli.asking import ask_one_after_another, somebody_answers
from stackopt.cli.exit_codes import INPUT_IS_WRONG
from stackopt.cli.helping import examples
from stackopt.cli.printing import print_json
from stackopt.cli.sources.named_books import check_master, master_option

_COLUMN = re.compile(r"(?:(?P<sheet>.+)!)?(?P<letters>[A-Za-z]{1,3})=(?P<header>.*)", re.DOTALL)


def _columns(_context: click.Context, _option: click.Parameter, texts: tuple[str, ...]) -> dict[tuple[str, int], str]:
    """Read what is said of columns: by (sheet, column counted from 0), the header to be read there."""
    said = {}
    for text in texts:
        match = _COLUMN.fullmatch(text)
        if match is None:
            raise click.BadParameter(f"{text!r} does not say of a column what it is, as 'F=thickness' or 'Sheet!F='")
        said[match["sheet"] or "", column_number(match["letters"])] = match["header"].strip()
    return said


def _answers(_context: click.Context, _option: click.Parameter, texts: tuple[str, ...]) -> tuple[GivenAnswer, ...]:
    for text in texts:
        if "=" not in text:
            raise click.BadParameter(f"{text!r} gives no answer, as 'supplier=Quillhaven' does")
    return tuple(map(GivenAnswer, texts))


@click.command()
@click.argument("files", nargs=-1, required=True, type=click.Path(path_type=Path), metavar="FILE...")
@click.option(
    "--column",
    "columns",
    multiple=True,
    callback=_columns,
    metavar="[SHEET!]LETTER=HEADER",
    help="Read a column as if this were its header, as 'F=thickness (in)'; 'F=' alone keeps the column aside. "
    "Remembered beside the book, in columns.toml, for every book of that layout.",
)
@click.option(
    "--answer",
    "answers",
    multiple=True,
    callback=_answers,
    metavar="[SHEET!]QUESTION=ANSWER",
    help="Answer a question, as 'supplier=Quillhaven'. Remembered like --column.",
)
@master_option
@click.option(
    "--report",
    type=click.Path(path_type=Path),
    help="Write a copy, .xlsx, with faults and questions marked.",
)
@click.option("--force", is_flag=True, help="Replace the file named by --report.")
@click.option("--json", "as_json", is_flag=True, help="Print all that was read as one JSON document.")
def check(  # noqa: PLR0913 - one for each option
    *,
    files: tuple[Path, ...],
    columns: dict[tuple[str, int], str],
    answers: tuple[GivenAnswer, ...],
    master: Path | None,
    report: Path | None,
    force: bool,
    as_json: bool,
) -> None:
    """Read books and print what was read, every problem and every question; nothing is stored.

    In a terminal the questions are then asked one after another; each answer is remembered beside the book.

    Exit code 0 when there is no problem and no question, 2 when there is one.
    """
    if len(files) > 1 and (columns or report):
        raise click.UsageError("--column and --report speak of one book: name one FILE.")
    check_master(master, files)
    books = examine_books(files, master, columns, answers=answers)
    to_be_asked = bool(books.questions) and not as_json and somebody_answers()
    if as_json:
        print_json(books_document(books))
    else:
        _print(books, asked_below=to_be_asked)
    for kept in keep_learned(books.learned) if not (columns and books.refused) else ():
        click.echo(f"Remembered in {kept}.", err=as_json)
    if to_be_asked:
        books = ask_one_after_another(files, master, books)
        _print(books)
    if report is not None:
        _write_report(files[0], report, books, force)
        click.echo(f"A copy with the faults marked: {report}", err=as_json)
    if books.refused or books.problems or books.questions:
        raise SystemExit(INPUT_IS_WRONG)


def _print(books: Books, *, asked_below: bool = False) -> None:
    for line in (*books.notes, *summary(books)):
        click.echo(line)
    problems = [*books.refused, *books.problems]
    for problem in problems:
        click.echo(str(problem))
    for question in () if asked_below else books.questions:
        click.echo(f"Question: {question}")
    counts = [counted(len(problems), "problem")] * bool(problems) + [counted(len(books.questions), "question")] * bool(
        books.questions
    )
    click.echo(f"{' and '.join(counts)}." if counts else "No problems.")


def counted(number: int, one: str) -> str:
    """Return how many there are of something, in words."""
    return f"{number} {one}{'' if number == 1 else 's'}"


def _write_report(book: Path, report: Path, books: Books, force: bool) -> None:
    # openpyxl takes longer to import than a check of an ordinary book.
    from stackopt.books.out.marked_copy import write_marked_copy  # noqa: PLC0415

    write_marked_copy(book, report, [*books.refused, *books.problems], books.questions, replace=force)


@click.command(epilog=examples("template shop.xlsx", "template --engine j-104.toml --units inch"))
@click.argument("out", type=click.Path(path_type=Path), metavar="[OUT.xlsx]", required=False)
@click.option("--engine", type=click.Path(path_type=Path), metavar="OUT.toml", help="Write an engine file to fill in.")
@click.option(
    "--units", type=click.Choice(("mm", "inch")), default="mm", show_default=True, help="The units of that engine file."
)
@click.option("--force", is_flag=True, help="Replace the file that stands there.")
def template(out: Path | None, engine: Path | None, units: str, force: bool) -> None:
    """Write an empty book to fill in, or with --engine an engine file, which is what the builder needs first.

    The book has every sheet, a note on each header, one example row, and lists to pick from. In the engine file each
    line says what stands there.
    """
    if out is None and engine is None:
        raise click.UsageError("Name a book to write, OUT.xlsx, or an engine file: --engine OUT.toml.")
    if out is not None:
        _check_ending(out, ".xlsx", "OUT.xlsx")
    if engine is not None:
        _check_ending(engine, ".toml", "--engine")
    # openpyxl takes longer to import than the rest of this command.
    if out is not None:
        from stackopt.books.out.template import write_template  # noqa: PLC0415

        write_template(out, replace=force)
        click.echo(f"{out}: fill it in, delete the example rows, then try: stackopt check {out}")
        click.echo("For the builder there is an engine file to fill in: stackopt template --engine OUT.toml")
    if engine is not None:
        write_engine_template(engine, units, replace=force)
        click.echo(f"{engine}: put your own measures in, then try: stackopt fit {engine} --book YOUR-STOCK.xlsx")


def _check_ending(path: Path, ending: str, named: str) -> None:
    if path.suffix.lower() != ending:
        raise click.BadParameter(f"the name must end in {ending}", param_hint=named)
