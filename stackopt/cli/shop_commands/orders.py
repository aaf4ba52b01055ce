"""The commands of ``stackopt shop`` on orders."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date

import click

from stackopt.choose.built.board import BoardLine
from stackopt.cli.helping import examples
from stackopt.cli.ledger_options import looking_options, noted_options, pieces_argument, row_number
from stackopt.cli.printing import print_json
from stackopt.cli.shop_commands.board import today_option
from stackopt.cli.shop_commands.documents import orders_document
from stackopt.cli.shop_commands.measured import PieceMeasured, by_part, check_likely, measured_words
from stackopt.cli.tables import print_pieces, print_table
from stackopt.problems import InputError, Place, Problem
from stackopt.report.wording import counted, written_date
from stackopt.shop.database.note import Note
from stackopt.shop.ledger import open_ledger
from stackopt.shop.standing.placed import OrderStep, PlacedLine, PlacedOrder
from stackopt.units import money


@click.command()
@looking_options
@today_option
@click.option("--all", "every", is_flag=True, help="Print those that are received or cancelled too.")
@click.option("--json", "as_json", is_flag=True, help="Print one JSON document instead of tables.")
def orders(ledger: str, today: date, *, every: bool, as_json: bool) -> None:
    """Print the orders that are not finished: what is drafted, what is sent, when it should be here, and who waits."""
    opened = open_ledger(ledger)
    listed = opened.orders(every=every)
    waiting = {line.engine: line for line in opened.board(today)} if any(order.promised for order in listed) else {}
    if as_json:
        print_json(orders_document(listed, waiting, today))
        return
    known = opened.branches()
    for order in listed:
        _print_order(order, waiting, today, known.at(order.route.destination) if known.others else "")
    for doubtful in opened.no_longer_listed() if listed else ():
        click.echo(str(doubtful))
    if not listed:
        click.echo("No order." if every else "No order is open; --all tells those that are done.")


def _print_order(order: PlacedOrder, waiting: Mapping[str, BoardLine], today: date, place: str) -> None:
    due = f", to arrive{place}" if place else ""
    click.echo(f"Order {order.number}, {order.supplier}: {_heading(order)}{due}")
    rows = [
        (
            line.part,
            line.supplier_part,
            line.packs,
            line.pieces,
            money(line.line_cents),
            order.outstanding.get(line.part, 0) if order.step is OrderStep.SENT else "",
            _here_words(order, line, today),
            "by telephone" if line.special_order else "",
        )
        for line in order.lines
    ]
    heads = ("part", "their number", "packs", "pieces", "sum", "still to come", "here on", "special order")
    print_table(heads, rows)
    days = order.days_of_content(today)
    for (engine, part), pieces in sorted(order.promised.items()):
        click.echo(f"{engine} waits for {pieces} of {part}{_late_words(waiting.get(engine), days[part], today)}")
    click.echo()


def _heading(order: PlacedOrder) -> str:
    """Say how far an order is; what a stock list says is under way has no price and no day on which it was sent."""
    if order.is_listed:
        return f"under way, as a list said that was loaded {written_date(order.drafted_on)}"
    sent = f", sent {written_date(order.sent_on)}" if order.sent_on else ""
    return f"{order.state}, {money(order.total_cents)} with freight, drafted {written_date(order.drafted_on)}{sent}"


def _here_words(order: PlacedOrder, line: PlacedLine, today: date) -> str:
    """Say when a line should be here; nothing of what is done."""
    if not order.is_open or (order.step is OrderStep.SENT and not order.outstanding.get(line.part)):
        return ""
    day = order.here_on(line, today)
    if day is None:
        return "not said"
    if line.confirmed_on and not order.is_listed:
        return f"{written_date(day)}, confirmed"
    if order.step is OrderStep.DRAFT:
        return f"{written_date(day)} if sent today"
    return f"{written_date(day)}{', overdue' if day < today else ''}"


def _late_words(line: BoardLine | None, here_on: date, today: date) -> str:
    if line is None or line.due is None:
        return ""
    late = (max(here_on, today) - line.due).days
    return f", due {written_date(line.due)}" + (f": {counted(late, 'day')} late" if late > 0 else "")


@click.command(
    epilog=examples(
        "shop receive --order 3",
        "shop receive --order 3 BG-040=2 --measured 'BG-040=0.413 mm' --measured 'BG-040=0.409 mm'",
        "shop receive BG-040=2",
    )
)
@noted_options
@click.option("--order", type=row_number, metavar="ORDER", help="The order they come from; else they come without one.")
@click.option(
    "--at",
    metavar="BRANCH",
    default=None,
    envvar="STACKOPT_AT",
    help="At which branch it arrived. Else STACKOPT_AT, else where the order was to go.",
)
@click.option(
    "--measured",
    type=PieceMeasured(),
    multiple=True,
    metavar="PART=LENGTH",
    help="The installed thickness of one piece as a micrometer tells it: of a gasket that gives, one that was crushed. "
    "Once for each piece measured.",
)
@click.option(
    "--bin", "in_bin", metavar="BIN", default="", help="Put all of it into this bin; else where the stock list says."
)
@click.option("--yes", is_flag=True, help="Do not ask, though a measured thickness is far from the listed one.")
@pieces_argument(required=False)
def receive(  # noqa: PLR0913 - one for each option
    ledger: str,
    note: Note,
    *,
    order: int | None,
    at: str | None,
    in_bin: str,
    measured: tuple[tuple[str, float], ...],
    yes: bool,
    pieces: dict[str, int],
) -> None:
    """Take in what arrived, in pieces; of an order all that is still to come where no parts are named.

    What an engine waits for is held for it at once; a kit is its parts. What was measured is what fit goes by for the
    pieces of this delivery, as far as no other pieces lie among them.
    """
    opened = open_ledger(ledger)
    if order is None and not pieces:
        raise click.UsageError("Say what arrived: --order ORDER, or PART=N.")
    readings_mm = by_part(measured)
    check_likely(opened, readings_mm, yes=yes)
    if order is None:
        arrival = opened.bring_in(pieces, note, at or "", readings_mm=readings_mm, in_bin=in_bin)
    else:
        arrival = opened.receive(order, note, pieces or None, at, readings_mm=readings_mm, in_bin=in_bin)
    for (engine, part), quantity in arrival.held.items():
        print_pieces(f"Held for {engine}", {part: quantity})
    if arrival.free:
        print_pieces("Free on the shelf", arrival.free)
    for words in measured_words(opened, readings_mm, arrival.held):
        click.echo(words)


@click.command()
@looking_options
@click.argument("part")
def prices(ledger: str, part: str) -> None:
    """Print every price that a part ever had."""
    opened = open_ledger(ledger)
    found = opened.prices(part)
    if not found:
        raise InputError(Problem(Place(opened.shown), part, "a part that a supplier lists, or once listed"))
    rows = [
        (
            price.at,
            price.supplier,
            price.pack,
            ", ".join(f"{money(tier.price_cents)} from {tier.from_packs}" for tier in price.tiers)
            if price.listed
            else "no longer listed",
            price.who,
        )
        for price in found
    ]
    print_table(("time (UTC)", "supplier", "pack", "a pack", "who"), rows)
