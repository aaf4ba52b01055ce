"""``stackopt fit``: the gaskets for one engine."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import click

from stackopt.cli.helping import examples
from stackopt.cli.options import Wishes, answer_options, was_said
from stackopt.cli.sources.ledger_source import LedgerSource
from stackopt.cli.sources.opening import find_engine, look_from, open_source
from stackopt.cli.sources.shop_defaults import shop_tolerance, with_shop_defaults

EXAMPLES = examples(
    "fit hc-09.toml --book shop.xlsx --book quillhaven.csv",
    "fit shop.xlsx:PT-04 --book shop.xlsx",
    "fit sc-21.toml --book shop.xlsx --prefer spend --today 2027-02-01",
    "fit hc-09.toml --book shop.xlsx --levers",
    "fit hc-09.toml --book shop.xlsx --try 'front=BG82-040+0.55 mm'",
    "fit hc-09.toml --book shop.xlsx --try 'front=BG82-040+?'",
    "fit PT-04 --hold",
)


@click.command(epilog=EXAMPLES)
@click.argument("engine")
@answer_options
@click.option(
    "--levers",
    is_flag=True,
    help="Tell what cuts, a spacer and other pistons would do: how much, at what price, and what then comes out.",
)
@click.option(
    "--try",
    "hand",
    metavar="CYLINDER=BASE+HEAD",
    multiple=True,
    help="Tell what comes out of a stack in your hand: part numbers, or thicknesses as 0.45 mm. A ? in place of one "
    "piece asks which is needed. Once for each cylinder.",
)
@click.pass_context
def fit(
    context: click.Context, /, engine: str, books: tuple[Path, ...], master: Path | None, ledger: str, **asked: Any
) -> None:
    """Choose the gaskets for one engine, from the shelf and the suppliers' lists.

    ENGINE is an engine file, BOOK:engine for an engine in an engines sheet, or the name of an engine in the ledger.

    Exit codes: 0 solved; 1 solved, and the engine is blocked (0 with --try); 2 the input or the call is wrong.
    """
    source = open_source(books, master, ledger, asked["today"], hold=asked["hold"])
    look_from(source, asked["at"], said=was_said(context, "at"))
    chosen = find_engine(engine, source, books, shop_tolerance(books, ledger))
    if isinstance(source, LedgerSource):
        source.asking.append(chosen.name)
        if not was_said(context, "at"):
            source.at = source.reader.built_at(chosen.name) or source.at
    from stackopt.cli.answers.answering import answer_and_print  # noqa: PLC0415 - imported while the books were read

    engines = with_shop_defaults([chosen], books, ledger)
    context.exit(answer_and_print(engines, source, Wishes(**asked)))
