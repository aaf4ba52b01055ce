"""``stackopt card``: the card of one engine, to print."""

from __future__ import annotations

from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING, Any
from urllib.parse import quote, urlsplit

import click
from msgspec.structs import replace

from stackopt.books.files.writing import write_whole
from stackopt.choose.patience import Patience
from stackopt.cli.answers.filling import filled_from
from stackopt.cli.helping import examples
from stackopt.cli.ledger_options import ledger_option
from stackopt.cli.options import Day
from stackopt.cli.sources.ledger_source import LedgerSource
from stackopt.cli.sources.named_books import book_option, master_option
from stackopt.cli.sources.opening import find_engine, open_source

if TYPE_CHECKING:
    from stackopt.report.card.sheet import CardSheet

ENDINGS = (".pdf", ".html")


def _page_address(_context: click.Context, _option: click.Parameter, text: str) -> str:
    """Return the address of the shop's page as a telephone opens it: a scheme in front, nothing behind the port."""
    address = text.strip()
    if not address:
        return ""
    try:
        parts = urlsplit(address if "://" in address else f"http://{address}")
        is_one = parts.scheme in ("http", "https") and bool(parts.hostname) and parts.port != 0 and " " not in address
    except ValueError:
        is_one = False
    if not is_one:
        raise click.BadParameter(f"{text!r} is no address of a page, as http://192.168.1.20:8095")
    return parts.geturl().rstrip("/")


@click.command(epilog=examples("card PT-04 card.pdf", "card hc-09.toml card.html --book shop.xlsx"))
@click.argument("engine")
@click.argument("out", type=click.Path(path_type=Path), metavar="OUT.pdf|OUT.html")
@book_option("stock, offers, suppliers, kits or engines")
@master_option
@ledger_option
@click.option("--paper", type=click.Choice(("a4", "letter")), default="a4", show_default=True, help="Size of the PDF.")
@click.option(
    "--address",
    default="",
    metavar="URL",
    callback=_page_address,
    help="Where the shop's page is, as http://192.168.1.20:8095: a code on the card opens it.",
)
@click.option("--today", type=Day(), metavar="DATE", default=date.today, help="The day to count from; else today.")
@click.option("--force", is_flag=True, help="Replace the file that stands there.")
def card(engine: str, out: Path, books: tuple[Path, ...], master: Path | None, ledger: str, **asked: Any) -> None:
    """Write the card of an engine for the bench: one page, to print.

    ENGINE is as in fit. Of an engine whose parts are held the card shows these; of any other what fits it now.
    """
    if out.suffix.lower() not in ENDINGS:
        raise click.BadParameter(f"the name must end in {' or '.join(ENDINGS)}", param_hint="OUT")
    # Drawing and writing take longer to import than most commands take to run.

    source = open_source(books, master, ledger, asked["today"], hold=False)
    sheet = _sheet(engine, source, books, asked["today"])
    write_whole(out, _written(sheet, out, asked), replace=asked["force"])
    click.echo(f"{out}: the card for {sheet.engine}.")


def _sheet(words: str, source: Any, books: tuple[Path, ...], today: date) -> CardSheet:
    from stackopt.cli.answers.answering import supply_of  # noqa: PLC0415
    from stackopt.report.card.sheet import sheet_of_answer  # noqa: PLC0415
    from stackopt.web.desk.answers import solve  # noqa: PLC0415
    from stackopt.web.desk.remembered import RememberedLedger  # noqa: PLC0415
    from stackopt.web.desk.sheets import engine_sheet  # noqa: PLC0415

    chosen = find_engine(words, source, books)
    if isinstance(source, LedgerSource):
        ledger = RememberedLedger(source.where)
        if chosen.name in {engine.name for engine in ledger.known_engines()}:
            return engine_sheet(ledger, chosen.name, today)
        source.asking.append(chosen.name)
    answer = solve([chosen], supply_of([chosen], source), today, Patience())
    filled = replace(answer, choice=filled_from(answer.request, answer.choice, source))
    return sheet_of_answer(chosen, filled, chosen.units)


def _written(sheet: CardSheet, out: Path, asked: dict[str, Any]) -> bytes:

    from stackopt.report.card.html import card_page  # noqa: PLC0415
    from stackopt.report.card.pdf import card_pdf  # noqa: PLC0415

    address = f"{asked['address']}/engines/{quote(sheet.engine)}" if asked["address"] else ""
    if out.suffix.lower() == ".html":
        return card_page(sheet, address).encode()
    return card_pdf(sheet, asked["paper"], address)
