"""``stackopt plan``: the gaskets for every open engine, from one shelf."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import click

from stackopt.cli.ledger_source import LedgerSource
from stackopt.cli.opening import open_source
from stackopt.cli.options import Names, Wishes, answer_options
from stackopt.problems import InputError, Place, Problem

# \b keeps the lines as they are.
EXAMPLES = (
    "\b\nExamples:\n"
    "  stackopt plan --book shop.xlsx --book quillhaven.csv --book varnik.csv\n"
    "  stackopt plan --book shop.xlsx --prefer spend,special-orders --json\n"
    "  stackopt plan --trade-off spend,closeness --picture plan.png\n"
    "  stackopt plan --hold\n"
)


@click.command(epilog=EXAMPLES)
@answer_options
@click.option(
    "--trade-off",
    type=Names(),
    metavar="TWO",
    help="What two objectives cost each other, as spend,closeness: every answer that nothing betters in both.",
)
@click.option(
    "--points",
    type=click.IntRange(min=2),
    default=20,
    show_default=True,
    help="The most answers that --trade-off looks for where one of the two is no whole number.",
)
@click.option(
    "--picture",
    type=click.Path(path_type=Path),
    metavar="OUT.png",
    help="Draw orders, shelf, closeness and the trade-off; .png, .svg or .pdf.",
)
@click.pass_context
def plan(context: click.Context, /, books: tuple[Path, ...], master: Path | None, ledger: str, **asked: Any) -> None:
    """Choose the gaskets for every open engine of the books, or of the ledger, from one shelf.

    The fewest engines are left blocked; then special orders, money, distance from the aims and the worth of what
    leaves the shelf are made least, in this order or in that of --prefer.

    Exit codes: 0 solved; 1 solved, and at least one engine is blocked; 2 the input or the call is wrong.
    """
    source = open_source(books, master, ledger, asked["hold"])
    engines = source.engines() if isinstance(source, LedgerSource) else source.engines
    if not engines and books:
        mend = "An engines sheet has a row for each cylinder; see README, Books."
        raise InputError(Problem(Place(item="--book"), "", "a book with an engines sheet", mend))
    if not engines:
        mend = "New ones come with a book: stackopt shop load BOOK. For one that holds parts: stackopt fit ENGINE"
        raise InputError(Problem(Place(ledger), "", "an engine that still has to be planned", mend))
    from stackopt.cli.answering import answer_and_print  # noqa: PLC0415 - imported while the books were read

    context.exit(answer_and_print(engines, source, Wishes(**asked)))
