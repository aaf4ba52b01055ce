"""``stackopt range``: which thicknesses to keep, and how many of each."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click
from msgspec import Struct
from msgspec.structs import replace

from stackopt.choose.patience import Patience
from stackopt.cli.amounts import Money
from stackopt.cli.answers.watching import watched
from stackopt.cli.helping import examples
from stackopt.cli.ledger_options import ledger_option
from stackopt.cli.options import Day
from stackopt.cli.printing import print_json
from stackopt.cli.sources.ledger_source import LedgerSource
from stackopt.cli.sources.named_books import book_option, master_option
from stackopt.cli.sources.opening import open_source
from stackopt.engine.engine_records import Engine
from stackopt.parts.part_records import Supply
from stackopt.problems import InputError, Place, Problem
from stackopt.report.drawings.pictures import check_picture

if TYPE_CHECKING:
    from stackopt.stocking.range.answer import Drawn
    from stackopt.stocking.range.outlook import Outlook
    from stackopt.stocking.range.range_records import RangeAnswer

EXAMPLES = examples(
    "range --book shop.xlsx --book quillhaven.csv",
    "range --book shop.xlsx --outlook season.toml --budget 1200 --picture range.png",
    "range --json",
)
SECONDS = 60.0


class RangeRequest(Struct, frozen=True):
    """What the options ask for; None where the outlook, or what is usual, decides."""

    outlook: Path | None
    budget: int | None
    engines: int | None
    scenarios: int | None
    seed: int | None
    picture: Path | None
    force: bool
    time_limit: float
    today: date
    as_json: bool
    no_color: bool

    def over(self, outlook: Outlook) -> Outlook:
        """Return an outlook with what the options say otherwise."""
        return replace(
            outlook,
            engines=self.engines or outlook.engines,
            scenarios=self.scenarios or outlook.scenarios,
            seed=outlook.seed if self.seed is None else self.seed,
        )


@click.command(epilog=EXAMPLES)
@book_option("stock, offers, suppliers or past engines")
@master_option
@ledger_option
@click.option(
    "--outlook",
    type=click.Path(path_type=Path),
    metavar="FILE",
    help="An outlook file: which engines are to come. Without one, engines like those of the books.",
)
@click.option(
    "--budget",
    type=Money(),
    metavar="AMOUNT",
    help="The most money that may lie on the shelf; else the outlook's, else what lies there today.",
)
@click.option("--engines", type=click.IntRange(min=1), help="How many engines come before the shelf is filled again.")
@click.option("--scenarios", type=click.IntRange(min=2), help="How many draws of engines the range is chosen by.")
@click.option("--seed", type=click.IntRange(min=0), help="Where the random numbers start; the same seed, same answer.")
@click.option("--picture", type=click.Path(path_type=Path), metavar="OUT.png", help="Draw it; .png, .svg or .pdf.")
@click.option("--force", is_flag=True, help="Replace the picture that stands there.")
@click.option(
    "--time-limit",
    type=click.FloatRange(min=0, min_open=True),
    metavar="SECONDS",
    default=SECONDS,
    show_default=True,
    help="How long to search; the answer says how far it can be off.",
)
@click.option("--today", type=Day(), metavar="DATE", default=date.today, help="The day that stands on the answer.")
@click.option("--json", "as_json", is_flag=True, help="Print one JSON document instead of tables.")
@click.option("--no-color", is_flag=True, help="Print without colour; NO_COLOR and pipes do so too.")
def range_command(books: tuple[Path, ...], master: Path | None, ledger: str, **options: Any) -> None:
    """Say which thicknesses to keep, and how many of each, so that most engines to come are built from the shelf.

    Engines to come are drawn by their families' shares, decks and bores: from an outlook file, or as the shop's past
    engines were. A range is chosen by some draws and valued on others that it has not seen.

    Exit codes: 0 solved; 2 the input or the call is wrong.
    """
    asked = RangeRequest(**options)
    _check_picture(asked)
    source = open_source(books, master, ledger, asked.today, hold=False)
    supply, past = _shelf(source)
    answer = _answer(supply, past, asked)
    _draw(answer, asked)
    _print(answer, supply, asked)


def _shelf(source: Any) -> tuple[Supply, tuple[Engine, ...]]:
    """Return the supply and the engines that the shop has had."""
    if isinstance(source, LedgerSource):
        return source.ledger.supply(), source.ledger.known_engines()
    return source.supply, source.engines


def _answer(supply: Supply, past: Sequence[Engine], asked: RangeRequest) -> RangeAnswer:
    from stackopt.stocking.range.answer import drawn_from, find_range, tied_up_today_cents  # noqa: PLC0415

    outlook, stated_cents = _outlook(past, asked)
    drawn = drawn_from(outlook, supply)
    _check_parts(drawn)
    budget_cents = asked.budget or stated_cents or tied_up_today_cents(drawn)
    if not budget_cents:
        mend = "Say how much may lie on the shelf: --budget 1200.00"
        raise InputError(Problem(Place(item="--budget"), "", "an amount of money, as the shelf is empty today", mend))
    patience = Patience.of_seconds(asked.time_limit)
    with watched(patience):
        return find_range(
            drawn, budget_cents, patience.quietly(), told=lambda words: click.echo(f"{words} …", err=True)
        )


def _outlook(past: Sequence[Engine], asked: RangeRequest) -> tuple[Outlook, int | None]:
    from stackopt.stocking.range.outlook import LEAST_PAST_ENGINES, Outlook, families_of_past  # noqa: PLC0415 - NumPy

    if asked.outlook is not None:
        from stackopt.books.outlook.outlook_file import read_outlook_file  # noqa: PLC0415

        stated = read_outlook_file(asked.outlook, past)
        return asked.over(stated.outlook), stated.budget_cents
    families, too_few = families_of_past(past)
    least = f"{LEAST_PAST_ENGINES} past engines of a family"
    if not families:
        mend = "Give the engines that the shop has had as an engines sheet, --book FILE, or an outlook, --outlook FILE."
        found = f"{len(past)} engines, too few of any family" if past else "no past engines"
        raise InputError(Problem(Place(item="--outlook"), found, f"at least {least}, or an outlook file", mend))
    for family in too_few:
        click.echo(f"{family} is left out: fewer than {least}; an outlook file can state its decks.", err=True)
    return asked.over(Outlook(families)), None


def _check_parts(drawn: Drawn) -> None:
    """Refuse families that no part fits."""
    bare = [family for family, parts in drawn.parts.items() if not parts]
    if bare:
        mend = "Write the family as the parts' column `fits` does, or give the book that lists its gaskets."
        raise InputError(
            *(Problem(Place(item="family"), family, "a family that some gasket fits", mend) for family in bare)
        )


def _check_picture(asked: RangeRequest) -> None:
    if asked.picture is not None:
        check_picture(asked.picture, replace_it=asked.force)


def _draw(answer: RangeAnswer, asked: RangeRequest) -> None:
    if asked.picture is not None:
        from stackopt.report.drawings.range_picture import draw_range  # noqa: PLC0415 - only for those who want one

        draw_range(asked.picture, answer)


def _print(answer: RangeAnswer, supply: Supply, asked: RangeRequest) -> None:
    if asked.as_json:
        from stackopt.report.range.document import range_document  # noqa: PLC0415

        print_json(range_document(answer, asked.today))
        return
    from stackopt.report.answer.page import terminal  # noqa: PLC0415 - rich is only for those who read tables
    from stackopt.report.range.page import range_text  # noqa: PLC0415

    click.echo(range_text(terminal(colour=not asked.no_color), answer, supply.parts, asked.today))
