"""``stackopt plan``: the gaskets for every open engine, from one shelf."""

from __future__ import annotations

import difflib
from collections.abc import Sequence
from pathlib import Path
from typing import Any

import click

from stackopt.cli.helping import examples
from stackopt.cli.options import Wishes, answer_options, was_said
from stackopt.cli.sources.ledger_source import LedgerSource
from stackopt.cli.sources.opening import look_from, open_source
from stackopt.cli.sources.shop_defaults import with_shop_defaults
from stackopt.engine.engine_records import Engine
from stackopt.problems import InputError, Place, Problem

EXAMPLES = examples(
    "plan --book shop.xlsx --book quillhaven.csv --book varnik.csv",
    "plan --book shop.xlsx --prefer spend,special-orders --json",
    "plan --trade-off spend,closeness --picture plan.png",
    "plan --engine J-104",
    "plan --all",
    "plan --hold",
    'plan --replan --hold --why "HC-30 came in"',
)


@click.command(epilog=EXAMPLES)
@click.option(
    "--replan",
    is_flag=True,
    help="Plan anew for engines whose parts are held in the ledger too; else what is held is kept.",
)
@click.option(
    "--engine",
    "engine_names",
    metavar="NAME",
    multiple=True,
    help="Print what goes on this engine, at length, instead of the whole plan. Once for each engine.",
)
@click.option(
    "--all",
    "everything",
    is_flag=True,
    help="Print every cylinder, order line and reason, however many engines; a page at a time on a terminal.",
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
    source = open_source(books, master, ledger, asked["today"], hold=asked["hold"])
    look_from(source, asked["at"], said=was_said(context, "at"))
    engines = _engines_of_ledger(source, replan) if isinstance(source, LedgerSource) else source.engines
    if not engines and not isinstance(source, LedgerSource):
        mend = "An engines sheet has a row for each cylinder; see: stackopt guide books."
        raise InputError(Problem(Place(item="--book"), "", "a book with an engines sheet", mend))
    if not engines and isinstance(source, LedgerSource) and not asked["as_json"]:
        _print_nothing_to_plan(source, Wishes(**asked))
        return
    _check_names(asked["engine_names"], engines)
    from stackopt.cli.answers.answering import answer_and_print  # noqa: PLC0415 - imported while the books were read

    engines = with_shop_defaults(engines, books, ledger)
    context.exit(answer_and_print(engines, source, Wishes(**asked)))


def _check_names(names: Sequence[str], engines: Sequence[Engine]) -> None:
    known = [engine.name for engine in engines]
    problems = [
        Problem(Place(item="--engine"), name, "the name of an engine of this plan", _near(name, known))
        for name in names
        if name not in known
    ]
    if problems:
        raise InputError(*problems)


def _near(name: str, known: Sequence[str]) -> str:
    return f"The nearest: {', '.join(difflib.get_close_matches(name, known, 3, cutoff=0.0))}."


def _print_nothing_to_plan(source: LedgerSource, asked: Wishes) -> None:
    """Tell how far the engines are instead: whoever plans wants to know that."""
    from stackopt.cli.shop_commands.board import print_board  # noqa: PLC0415 - only where nothing is to plan

    click.echo("Nothing is to plan: no open engine lacks a choice. New engines come with stackopt shop load BOOK.")
    print_board(source.ledger.board(asked.today), no_color=asked.no_color)


def _engines_of_ledger(source: LedgerSource, replan: bool) -> tuple[Engine, ...]:
    """Return the engines to plan; those that hold parts come first: of pieces alike theirs are those that are here."""
    return (*(source.held_engines() if replan else ()), *source.engines())
