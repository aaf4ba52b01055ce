"""Commands on books: read them and say what was understood and what is wrong."""

from __future__ import annotations

from pathlib import Path

import click

from stackopt.books import examine_books
from stackopt.cli import INPUT_IS_WRONG


@click.command()
@click.argument("files", nargs=-1, required=True, type=click.Path(path_type=Path), metavar="FILE...")
def check(files: tuple[Path, ...]) -> None:
    """Read books and print how each column was read and every problem; nothing is stored.

    Exit code 0 when there is no problem, 2 when there is one.
    """
    books = examine_books(files)
    for note in books.notes:
        click.echo(note)
    problems = [*books.refused, *books.problems]
    for problem in problems:
        click.echo(str(problem))
    click.echo(_verdict(len(problems)))
    if problems:
        raise SystemExit(INPUT_IS_WRONG)


def _verdict(problems: int) -> str:
    if not problems:
        return "No problems."
    return "1 problem." if problems == 1 else f"{problems} problems."
