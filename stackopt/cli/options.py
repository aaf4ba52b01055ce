"""The options that `fit` and `plan` share, and how their texts are read."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date
from pathlib import Path
from typing import Any, TypeVar

import click
from click.core import ParameterSource
from msgspec import Struct

from stackopt.cli.ledger_options import at_option, ledger_option, who_option, why_option
from stackopt.cli.sources.named_books import book_option, master_option
from stackopt.cli.writing import Files, workbook_options

Command = TypeVar("Command", bound=Callable[..., Any])


class Wishes(Struct, frozen=True):
    """What the shared options ask for (`answer_options`)."""

    today: date
    prefer: tuple[str, ...]
    as_json: bool
    no_color: bool
    time_limit: float | None
    hold: bool
    at: str
    who: str
    why: str
    workbook: Path | None
    order_sheets: Path | None
    force: bool
    previous: Path | None
    trade_off: tuple[str, ...] | None
    points: int
    picture: Path | None
    units: str | None
    hand: tuple[str, ...] = ()
    levers: bool = False
    engine_names: tuple[str, ...] = ()
    everything: bool = False

    @property
    def files(self) -> Files:
        """Where the answer is written."""
        return Files(self.workbook, self.order_sheets, self.force)


class Day(click.ParamType[date]):
    """A day of the calendar, written as 2027-02-01."""

    name = "date"

    def convert(self, value: Any, param: click.Parameter | None, ctx: click.Context | None) -> date:
        """Return the day; a text that is none is a wrong call."""
        if isinstance(value, date):
            return value
        try:
            return date.fromisoformat(value)
        except ValueError:
            self.fail(f"found {value!r}, expected a date, as 2027-02-01.", param, ctx)


class NameList(click.ParamType[tuple[str, ...]]):
    """Names with commas between them; empty ones are left out."""

    name = "names"

    def convert(self, value: Any, param: click.Parameter | None, ctx: click.Context | None) -> tuple[str, ...]:
        """Return the names in their order."""
        texts = value if isinstance(value, tuple) else value.split(",")
        return tuple(text.strip() for text in texts if text.strip())


SOURCE_OPTIONS = (
    book_option("stock, offers, suppliers, kits or engines"),
    master_option,
    ledger_option,
    at_option,
    click.option("--hold", is_flag=True, help="Hold what is chosen in the ledger, all of it or nothing."),
    who_option,
    why_option,
)
WISH_OPTIONS = (
    click.option(
        "--prefer",
        type=NameList(),
        metavar="NAMES",
        default=(),
        help="What counts most, in this order, as spend,special-orders. The rest of the usual order follows.",
    ),
    click.option(
        "--picture",
        type=click.Path(path_type=Path),
        metavar="OUT.png",
        help="Draw sections and maps of an engine, or the calendar of a plan; .png, .svg or .pdf.",
    ),
    click.option(
        "--trade-off",
        type=NameList(),
        metavar="TWO",
        help="What two objectives cost each other, as spend,closeness: every answer that nothing betters in both.",
    ),
    click.option(
        "--points",
        type=click.IntRange(min=2),
        default=20,
        show_default=True,
        help="The most answers that --trade-off looks for where one of the two is no whole number.",
    ),
    click.option(
        "--previous",
        type=click.Path(path_type=Path),
        metavar="PLAN.json",
        help="An answer of before, as --json printed it: its pieces are kept where that costs nothing.",
    ),
    click.option(
        "--today",
        type=Day(),
        metavar="DATE",
        default=date.today,
        help="The day to count from, as 2027-02-01; else today.",
    ),
    click.option(
        "--time-limit",
        type=click.FloatRange(min=0),
        metavar="SECONDS",
        help="End solving and explaining after so long with the best found and how far it can be off; so does Ctrl-C.",
    ),
    click.option(
        "--units",
        type=click.Choice(["mm", "inch"]),
        help="The unit of length that is written first; else the one that most of the engine's lengths are in.",
    ),
    click.option("--json", "as_json", is_flag=True, help="Print one JSON document instead of tables."),
    click.option("--no-color", is_flag=True, help="Print without colour; NO_COLOR and pipes do so too."),
)


def was_said(context: click.Context, name: str) -> bool:
    """Tell whether an option stands in the command itself, not in the environment."""
    return context.get_parameter_source(name) is ParameterSource.COMMANDLINE


def answer_options(command: Command) -> Command:
    """Add the options of every command that answers with a choice."""
    for option in reversed((*SOURCE_OPTIONS, *WISH_OPTIONS)):
        command = option(command)
    return workbook_options(command)
