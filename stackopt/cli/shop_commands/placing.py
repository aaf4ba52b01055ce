"""The commands of ``stackopt shop`` that move an order on: its sheet, sent, confirmed, cancelled."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date
from pathlib import Path
from shlex import quote

import click

from stackopt.choose.choice_records import Order, OrderLine
from stackopt.cli.amounts import Money
from stackopt.cli.helping import examples
from stackopt.cli.ledger_options import looking_options, noted_options, row_number
from stackopt.cli.options import Day
from stackopt.cli.shop_commands.board import today_option
from stackopt.cli.sources.our_shop import our_shop_of_ledger
from stackopt.parts.part_records import Offer, PriceTier
from stackopt.problems import InputError, Place, Problem
from stackopt.report.wording import counted, written_date
from stackopt.shop.commands.orders import ChangedLine, Confirmed
from stackopt.shop.database.note import Note
from stackopt.shop.ledger import Ledger, open_ledger
from stackopt.shop.standing.placed import PlacedOrder
from stackopt.units import money

order_argument = click.argument("order", type=row_number, metavar="ORDER")


@click.command()
@noted_options
@today_option
@order_argument
def send(ledger: str, note: Note, today: date, order: int) -> None:
    """Mark a draft as sent: its pieces are on order from now on. What its supplier lists otherwise by now is said."""
    opened = open_ledger(ledger)
    for changed in opened.send(order, note, today):
        for words in _changed_words(order, changed):
            click.echo(words)
    click.echo(f"Order {order} is sent; when it is here: stackopt shop receive --order {order}")
    _print_late(opened, order, today)


def _changed_words(order: int, changed: ChangedLine) -> Iterator[str]:
    line = changed.line
    if changed.price_cents is None:
        yield f"{line.part}: the supplier no longer lists it in packs of {line.pack}; ask before you count on it."
        return
    if changed.price_cents != line.price_cents:
        more = line.packs * (changed.price_cents - line.price_cents)
        yield (
            f"{line.part}: drafted at {money(line.price_cents)} a pack, listed at {money(changed.price_cents)} by now: "
            f"{money(abs(more))} {'more' if more > 0 else 'less'} for the line. "
            "If that is the price: "
            f"stackopt shop confirm {order} {quote(line.part)} --price {money(changed.price_cents)}"
        )
    if changed.lead_days != line.lead_days:
        yield f"{line.part}: drafted with {counted(line.lead_days, 'day')}, listed with {changed.lead_days} by now."


@click.command(epilog=examples("shop confirm 3 BG-040 --day 2027-02-09", "shop confirm 3 BG-040 --price 13.40"))
@noted_options
@today_option
@click.option("--day", type=Day(), metavar="DATE", help="The day on which the supplier says it is here.")
@click.option("--price", type=Money(), metavar="MONEY", help="What he asks for one pack.")
@order_argument
@click.argument("part")
def confirm(  # noqa: PLR0913 - one for each option
    ledger: str, note: Note, today: date, *, day: date | None, price: int | None, order: int, part: str
) -> None:
    """Write down what the supplier confirmed of one line of an order: the day it comes, its price, or both."""
    if day is None and price is None:
        raise click.UsageError("Say what is confirmed: --day DATE, --price MONEY, or both.")
    opened = open_ledger(ledger)
    opened.confirm(Confirmed(order, part, day, price), note)
    said = [f"here on {written_date(day)}"] if day else []
    said += [f"{money(price)} a pack"] if price else []
    click.echo(f"Order {order}, {part}: {', '.join(said)}.")
    _print_late(opened, order, today)


def _print_late(opened: Ledger, order: int, today: date) -> None:
    """Tell whom an order makes late."""
    for line in opened.board(today):
        if line.late_days and any(each.order == order for each in line.waits_for):
            due = f"due {written_date(line.due)}" if line.due else ""
            ready = f", ready on {written_date(line.ready_on)}" if line.ready_on else ""
            click.echo(f"{line.engine} is {counted(line.late_days, 'day')} late: {due}{ready}.")


@click.command(epilog=examples("shop sheet 3", "shop sheet 3 quillhaven.xlsx"))
@looking_options
@today_option
@click.option("--force", is_flag=True, help="Replace the file that stands there.")
@order_argument
@click.argument("file", required=False, type=click.Path(path_type=Path), metavar="[OUT.xlsx]")
def sheet(ledger: str, today: date, *, force: bool, order: int, file: Path | None) -> None:
    """Write the sheet of an order, drafted or sent, as a spreadsheet; without a file as text to paste into a mail."""
    opened = open_ledger(ledger)
    placed = opened.order(order)
    if placed.is_transfer:
        mend = "What goes from one branch to another: stackopt shop transfers"
        raise InputError(Problem(Place(f"order {order}"), "a transfer", "an order to a supplier", mend))
    if file is None:
        for words in _sheet_words(placed):
            click.echo(words)
        return
    # openpyxl takes longer to import than the other commands take to run.
    from stackopt.books.out.letterhead import OrderHead  # noqa: PLC0415
    from stackopt.books.out.order_sheets import write_orders  # noqa: PLC0415

    due = {line.engine: line.due for line in opened.board(today)}
    head = OrderHead(our_shop_of_ledger(ledger), order, due)
    write_orders(file, [_as_order(placed, today)], opened.supply().parts, today, head, replace=force)
    click.echo(f"{file}: order {order} to {placed.supplier}.")


def _sheet_words(placed: PlacedOrder) -> Iterator[str]:
    yield f"Order {placed.number} to {placed.supplier}"
    for line in placed.lines:
        number = f"{line.supplier_part} (our {line.part})" if line.supplier_part else line.part
        packs = f"{counted(line.packs, 'pack')} of {line.pack}"
        yield f"  {packs}  {number}  {money(line.price_cents)} a pack, {money(line.line_cents)}"
    yield f"Freight {money(placed.freight_cents)}, together {money(placed.total_cents)}"


def _as_order(placed: PlacedOrder, today: date) -> Order:
    lines = tuple(
        OrderLine(
            Offer(
                placed.supplier,
                line.part,
                (PriceTier(1, line.price_cents),),
                line.supplier_part,
                line.pack,
                lead_days=((placed.here_on(line, today) or today) - today).days,
                special_order=line.special_order,
            ),
            line.packs,
            tuple(engine for engine, part in placed.promised if part in line.contents),
        )
        for line in placed.lines
    )
    return Order(placed.supplier, placed.freight_cents, lines)


@click.command()
@noted_options
@order_argument
def cancel(ledger: str, note: Note, order: int) -> None:
    """Cancel what has not arrived of an order; engines that waited for it are to be planned again."""
    opened = open_ledger(ledger)
    waited = opened.cancel(order, note)
    click.echo(f"Order {order} is cancelled.")
    for engine in waited:
        click.echo(f"{engine} waited for it and is to be planned again: stackopt fit {quote(engine)} --hold")
    placed = opened.order(order)
    if placed.is_transfer:
        click.echo(f"What has not arrived lies at {opened.branches().name(placed.route.origin)} again, held as before.")
