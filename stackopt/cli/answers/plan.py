"""``stackopt plan``: the gaskets for every open engine, from one shelf."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import click

from stackopt.cli.helping import examples
from stackopt.cli.options import Wishes, answer_options
from stackopt.cli.sources.ledger_source import LedgerSource
from stackopt.cli.sources.opening import open_source
from stackopt.engine.records import Engine
from stackopt.problems import InputError, Place, Problem

EXAMPLES = examples(
    "plan --book shop.xlsx --book quillhaven.csv --book varnik.csv",
    "plan --book shop.xlsx --prefer spend,special-orders --json",
    "plan --trade-off spend,closeness --picture plan.png",
    "plan --hold",
    'plan --replan --hold --why "HC-30 came in"',
)


@click.command(epilog=EXAMPLES)
@click.option(
    "--replan",
    is_flag=True,
    help="Plan anew for engines whose parts are held in the ledger too; else what is held is kept.",
)
@answer_options
@click.pass_context
def plan(
    context: click.Context, /, books: tuple[Path, ...], master: Path | None, ledger: str, *, replan: bool, **asked: Any
) -> None:
    """Choose the gaskets for every open engine of the books, or of the ledger, from one shelf.

    The fewest engines are left blocked; then special orders, money, distance from the aims and the value of what
    leaves the shelf are made least, in this order or in that of --prefer.

    Exit codes: 0 solved; 1 solved, and at least one engine is blocked; 2 the input or the call is wrong.
    """
    if books and replan:
        raise InputError(Problem(Place(item="--replan"), "--book", "the ledger alone, which knows what is held"))
    source = open_source(books, master, ledger, asked["hold"])
    engines = _engines_of_ledger(source, replan) if isinstance(source, LedgerSource) else source.engines
    if not engines and books:
        mend = "An engines sheet has a row for each cylinder; see: stackopt guide books."
        raise InputError(Problem(Place(item="--book"), "", "a book with an engines sheet", mend))
    if not engines:
        mend = "New ones come with a book: stackopt shop load BOOK. For one that holds parts: stackopt fit ENGINE"
        raise InputError(Problem(Place(ledger), "", "an engine that still has to be planned", mend))
    from stackopt.cli.answers.answering import answer_and_print  # noqa: PLC0415 - imported while the books were read

    context.exit(answer_and_print(engines, source, Wishes(**asked)))


def _engines_of_ledger(source: LedgerSource, replan: bool) -> tuple[Engine, ...]:
    """Return the engines to plan; those that hold parts come first: of pieces alike theirs are those that are here."""
    return (*(source.held_engines() if replan else ()), *source.engines())
