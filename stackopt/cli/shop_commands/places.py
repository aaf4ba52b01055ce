"""``stackopt shop branch``, ``branches``, ``transfer``, ``transfers`` and ``move``: branches of one shop, and bins."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from datetime import date
from shlex import quote
from typing import Any

import click

from stackopt.cli.helping import examples
from stackopt.cli.ledger_options import MOST_DIGITS, MOST_PIECES, WholeNumber, at_option, looking_options, noted_options
from stackopt.cli.printing import print_json
from stackopt.cli.shop_commands.board import today_option
from stackopt.cli.shop_commands.stock import bins_words
from stackopt.cli.tables import print_pieces, print_table
from stackopt.report.wording import counted, written_date
from stackopt.shop.database.note import Note
from stackopt.shop.entries.branches import Branches
from stackopt.shop.ledger import make_ledger, open_ledger
from stackopt.shop.places.between_bins import Moved
from stackopt.shop.places.due import DueTransfer
from stackopt.shop.places.naming import NamedBranch
from stackopt.shop.places.transfers import Wanted
from stackopt.shop.standing.placed import PlacedOrder

MOST_DAYS = 365
Pairs = tuple[tuple[str, int], ...]
# By part number and the name of the branch.
Bins = Mapping[tuple[str, str], str]


class DaysTo(click.ParamType[tuple[str, int]]):
    """A branch and the days to it, written as Nordkai=2."""

    name = "BRANCH=N"

    def convert(self, value: Any, param: click.Parameter | None, ctx: click.Context | None) -> tuple[str, int]:
        """Return branch and days; a text that is neither is a wrong call."""
        name, _, days = value.rpartition("=")
        if not name or not days.isdecimal() or len(days) > MOST_DIGITS or int(days) > MOST_DAYS:
            self.fail(f"found {value!r}, expected a branch and 0 to {MOST_DAYS} days, as Nordkai=2.", param, ctx)
        return name, int(days)


def _days_option(name: str, words: str) -> Callable[[Callable[..., Any]], Callable[..., Any]]:
    return click.option(name, type=DaysTo(), multiple=True, metavar="BRANCH=N", help=f"{words}; repeatable.")


@click.command(
    epilog=examples(
        'shop branch "Mill Street"',
        "shop branch Nordkai --days 'Mill Street=2'",
        "shop branch Nordkai --rename Seaside",
    )
)
@noted_options
@_days_option("--days", "How many days pieces take between it and another branch, both ways")
@_days_option("--days-to", "The same, from it to the other alone")
@click.option("--rename", "new_name", metavar="NEW", default="", help="Give it another name; nothing else changes.")
@click.argument("name")
def branch(  # noqa: PLR0913, PLR0917 - one for each option
    ledger: str, note: Note, days: Pairs, days_to: Pairs, new_name: str, name: str
) -> None:
    """Name a branch of the shop, or say how many days pieces take from it to another.

    The first that is named is the main branch: all lies there that the ledger has so far, and what names no branch.
    """
    if new_name and (days or days_to):
        raise click.UsageError("One at a time: first --rename, then the days under the new name.")
    if new_name:
        open_ledger(ledger).rename_branch(name, new_name, note)
        click.echo(f"{name} is called {new_name} from now on.")
        return
    opened = make_ledger(ledger)
    is_new = opened.name_branch(NamedBranch(name, dict(days), dict(days_to)), note)
    known = opened.branches()
    if is_new:
        click.echo(f"{name}: the main branch, where all lies so far." if name == known.main else f"{name}: a branch.")
    for (origin, destination), taken in sorted(known.days.items()):
        if known.code(name) in (origin, destination):
            click.echo(f"{known.name(origin)} to {known.name(destination)}: {counted(taken, 'day')}")


@click.command()
@looking_options
@click.option("--json", "as_json", is_flag=True, help="Print one JSON document instead of a table.")
def branches(ledger: str, *, as_json: bool) -> None:
    """Print the branches of the shop, and how many days pieces take from one to another."""
    known = open_ledger(ledger).branches()
    ways = [
        {"from": known.name(origin), "to": known.name(destination), "days": days}
        for (origin, destination), days in sorted(known.days.items())
    ]
    if as_json:
        named = [{"branch": name, "main": name == known.main} for name in known.names]
        print_json({"branches": named, "transfer_days": ways})
        return
    if not known.names:
        click.echo("The shop names no branch. For the place where all lies now: stackopt shop branch NAME")
        return
    click.echo(", ".join(f"{name} (main)" if name == known.main else name for name in known.names))
    if ways:
        print_table(("from", "to", "days"), [(way["from"], way["to"], way["days"]) for way in ways])


@click.command(
    epilog=examples(
        "shop transfer HG-050 2 --from Nordkai --to 'Mill Street'",
        "shop transfer --due --from Nordkai --to 'Mill Street'",
    )
)
@noted_options
@today_option
@click.option("--from", "origin", metavar="BRANCH", required=True, help="The branch that sends it.")
@click.option("--to", "destination", metavar="BRANCH", required=True, help="The branch that gets it.")
@click.option(
    "--days", type=WholeNumber(0, MOST_DAYS), metavar="N", help="How many days this one takes; else as usual."
)
@click.option("--due", is_flag=True, help="Send all that is held there for engines that are built at the other.")
@click.argument("part", required=False)
@click.argument("pieces", type=WholeNumber(1, MOST_PIECES), required=False, metavar="[N]")
def transfer(  # noqa: PLR0913 - one for each option
    ledger: str,
    note: Note,
    today: date,
    *,
    origin: str,
    destination: str,
    days: int | None,
    due: bool,
    part: str | None,
    pieces: int | None,
) -> None:
    """Send pieces of a part from one branch to another: they leave the one shelf and are under way to the other.

    What is held for an engine that is built there goes first, and stays its own. The other branch takes it in with
    `stackopt shop receive --order ORDER`; `stackopt shop cancel ORDER` takes back what has not arrived.
    """
    if due == (part is not None) or (part is not None and pieces is None):
        raise click.UsageError("Say what is sent: PART N, or --due for all that is held there for the other branch.")
    wanted = None if part is None or pieces is None else {part: pieces}
    sent = open_ledger(ledger).transfer(Wanted(wanted, origin, destination, today, days), note)
    print_pieces(f"On the way from {origin} to {destination}", sent.pieces)
    for (engine, number), quantity in sorted(sent.promised.items()):
        print_pieces(f"For {engine}", {number: quantity})
    click.echo(f"There on {written_date(sent.here_on)}: stackopt shop receive --order {sent.order}")


@click.command()
@looking_options
@at_option
@today_option
@click.option("--json", "as_json", is_flag=True, help="Print one JSON document instead of tables.")
def transfers(ledger: str, at: str, today: date, *, as_json: bool) -> None:
    """Print what the branches have to send each other, for whom and by when, and what is on the way.

    With --at only what that branch sends or gets.
    """
    opened = open_ledger(ledger)
    known = opened.branches()
    ends = {known.code(at)} if at else set(known.codes)
    due = [each for each in opened.due_transfers() if ends & {each.origin, each.destination}]
    placed = [order for order in opened.orders(every=False) if order.is_transfer]
    sent = [
        row
        for order in placed
        if ends & {order.route.origin, order.route.destination}
        for row in _sent_rows(order, known, today)
    ]
    bins = opened.bins() if due else {}
    if as_json:
        print_json({"to_send": [_due_row(each, known, today, bins) for each in due], "under_way": sent})
        return
    _print_due(due, known, today, bins)
    if sent:
        click.echo("On the way")
        rows = [[*list(row.values())[:6], ", ".join(row["for"])] for row in sent]
        print_table(("order", "from", "to", "part", "pieces", "there on", "for"), rows)
    if not due and not sent:
        click.echo("Nothing is to be sent to another branch, and nothing is on the way.")


@click.command(epilog=examples("shop move BG-040 2 --to R7", "shop move BG-040 1 --from R7 --to S1"))
@noted_options
@at_option
@click.option("--from", "origin", metavar="BIN", default="", help="The bin they lie in; else that of the stock list.")
@click.option("--to", "destination", metavar="BIN", default="", help="The bin they go to; else that of the stock list.")
@click.argument("part")
@click.argument("pieces", type=WholeNumber(1, MOST_PIECES), metavar="N")
def move(  # noqa: PLR0913 - one for each option
    ledger: str, note: Note, at: str, *, origin: str, destination: str, part: str, pieces: int
) -> None:
    """Carry pieces of a part from one bin of a branch to another; who holds them keeps them.

    From one branch to another: stackopt shop transfer.
    """
    if not origin and not destination:
        raise click.UsageError("Say where they go: --to BIN, --from BIN, or both.")
    bins = open_ledger(ledger).move(Moved(part, pieces, origin, destination, at), note)
    click.echo(f"{part}: {bins_words(bins)}")


def _due_row(each: DueTransfer, known: Branches, today: date, bins: Bins) -> dict[str, Any]:
    return {
        "from": known.name(each.origin),
        "to": known.name(each.destination),
        "part": each.part,
        "quantity": each.quantity,
        "bin": bins.get((each.part, known.name(each.origin)), ""),
        "for": each.engine,
        "due": each.due and each.due.isoformat(),
        "days": each.days,
        "send_by": each.by and each.by.isoformat(),
        "late_days": max(0, (today - each.by).days) if each.by else 0,
    }


def _sent_rows(order: PlacedOrder, known: Branches, today: date) -> Iterator[dict[str, Any]]:
    for line in order.lines:
        if order.outstanding.get(line.part):
            yield {
                "order": order.number,
                "from": known.name(order.route.origin),
                "to": known.name(order.route.destination),
                "part": line.part,
                "quantity": order.outstanding[line.part],
                "here_on": (order.here_on(line, today) or today).isoformat(),
                "for": sorted(engine for engine, part in order.promised if part == line.part),
            }


def _print_due(due: list[DueTransfer], known: Branches, today: date, bins: Bins) -> None:
    if not due:
        return
    click.echo("To be sent")
    rows = [
        (
            *map(known.name, (each.origin, each.destination)),
            *(each.part, each.quantity, bins.get((each.part, known.name(each.origin)), "")),
            *(each.engine, _by(each, today)),
        )
        for each in due
    ]
    print_table(("from", "to", "part", "pieces", "bin", "for", "send by"), rows)
    for origin, destination in dict.fromkeys((each.origin, each.destination) for each in due):
        ends = f"--from {quote(known.name(origin))} --to {quote(known.name(destination))}"
        click.echo(f"All of it: stackopt shop transfer --due {ends}")


def _by(each: DueTransfer, today: date) -> str:
    if each.by is None:
        return ""
    late = (today - each.by).days
    return written_date(each.by) + (f", {counted(late, 'day')} late" if late > 0 else "")
