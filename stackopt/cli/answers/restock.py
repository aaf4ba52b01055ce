"""``stackopt restock``: what to reorder, from whom, and why."""

from __future__ import annotations

from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click
from msgspec import Struct
from msgspec.structs import replace

from stackopt.choose.choice_records import Request
from stackopt.choose.patience import Patience
from stackopt.cli.answers.refilling import refilled, sent_rows, sent_words
from stackopt.cli.answers.watching import watched
from stackopt.cli.exit_codes import BLOCKED, SOLVED
from stackopt.cli.helping import examples
from stackopt.cli.ledger_options import ledger_option, who_option, why_option
from stackopt.cli.options import Day, NameList
from stackopt.cli.printing import print_json
from stackopt.cli.sources.ledger_source import LedgerSource
from stackopt.cli.sources.named_books import book_option, master_option
from stackopt.cli.sources.opening import look_from, open_source
from stackopt.cli.sources.our_shop import our_shop
from stackopt.cli.sources.shop_defaults import with_shop_defaults
from stackopt.cli.writing import Files, workbook_options
from stackopt.engine.engine_records import Engine
from stackopt.parts.part_records import Supply, Usage
from stackopt.parts.unknown import unknown_names
from stackopt.problems import InputError, Place, Problem
from stackopt.report.reorder.document import restock_document
from stackopt.shop.database.note import Note
from stackopt.stocking import restock as restocked
from stackopt.stocking.reorder.restock_records import Policy, Restock
from stackopt.units import cents

if TYPE_CHECKING:
    from stackopt.books.facts.book_records import Books
    from stackopt.shop.places.surplus import Surplus
    from stackopt.stocking.demand.leads import Delivery
from stackopt.stocking.review_days import ReviewDays, review_days

EXAMPLES = examples(
    "restock --book shop.xlsx --book quillhaven.csv --book varnik.csv",
    "restock --book shop.xlsx --service-level 0.9 --json",
    "restock --draft",
    "restock --at Nordkai --draft",
)


class RestockRequest(Struct, frozen=True):
    """What the options ask for; costs as they are typed, in whole currency units."""

    service_level: float
    order_cost: float
    line_cost: float
    holding_rate: float
    review_days: int | None
    prefer: tuple[str, ...]
    today: date
    at: str | None
    draft: bool
    who: str
    why: str
    as_json: bool
    no_color: bool
    workbook: Path | None
    order_sheets: Path | None
    force: bool

    @property
    def files(self) -> Files:
        """Where the answer is written."""
        return Files(self.workbook, self.order_sheets, self.force)

    def policy(self, review: ReviewDays) -> Policy:
        """Return the shop's service level and costs."""
        costs = (cents(self.order_cost), cents(self.line_cost), self.holding_rate)
        return Policy(self.service_level, *costs, review_days=review.days)


class RestockedShelf(Struct, frozen=True):
    """What is restocked: the supply, the open engines, what left the shelf, and how long orders took."""

    supply: Supply
    engines: tuple[Engine, ...]
    usage: tuple[Usage, ...]
    deliveries: tuple[Delivery, ...] = ()


@click.command(epilog=EXAMPLES)
@book_option("stock, usage, offers, suppliers, kits or engines")
@master_option
@ledger_option
@click.option(
    "--service-level",
    type=click.FloatRange(0, 1, min_open=True, max_open=True),
    default=0.95,
    show_default=True,
    help="Chance that the shelf lasts through a lead time; a level in the stock list is used before this.",
)
@click.option("--order-cost", type=click.FloatRange(min=0), default=5.0, show_default=True, help="Own work an order.")
@click.option("--line-cost", type=click.FloatRange(min=0), default=1.0, show_default=True, help="Own work a line.")
@click.option(
    "--holding-rate",
    type=click.FloatRange(min=0.0, min_open=True),
    default=0.25,
    show_default=True,
    help="Share of a part's price that keeping it for a year costs.",
)
@click.option(
    "--review-days",
    type=click.IntRange(min=0),
    metavar="DAYS",
    help="Days from one check of the shelf to the next; the stock has to last for them too. With a ledger it is "
    f"remembered; {Policy().review_days} where nobody ever said.",
)
@click.option(
    "--prefer", type=NameList(), metavar="NAMES", default=(), help="What counts most when engines are planned."
)
@click.option("--today", type=Day(), metavar="DATE", default=date.today, help="The day to count from; else today.")
@click.option(
    "--at",
    metavar="BRANCH",
    help="Refill the shelf of this branch by its own levels: what others have more of than they keep is sent to it "
    "first, the rest ordered to it. Else the shop as a whole.",
)
@click.option("--draft", is_flag=True, help="Write the orders down in the ledger, as drafts to send.")
@who_option
@why_option
@click.option("--json", "as_json", is_flag=True, help="Print one JSON document instead of tables.")
@click.option("--no-color", is_flag=True, help="Print without colour; NO_COLOR and pipes do so too.")
@workbook_options
@click.pass_context
def restock(context: click.Context, /, books: tuple[Path, ...], master: Path | None, ledger: str, **asked: Any) -> None:
    """Say what to reorder: what open engines lack, what is at its reorder point, and what is worth taking along.

    The reorder point is the stock list's minimum, up to its maximum; else it comes from what left the shelf: the
    smallest number of pieces that lasts through the lead time with the chance of the service level. All parts of all
    suppliers are decided together, so that freight, free freight and minimum orders are shared. What the ledger has on
    order, drafts too, is counted; what open engines lack is better held first, with plan --hold.

    Exit codes: 0 solved; 1 solved, and at least one engine is blocked; 2 the input or the call is wrong.
    """
    source = open_source(books, master, ledger, asked["today"], hold=False)
    if asked["draft"] and not isinstance(source, LedgerSource):
        mend = "Load the books first, stackopt shop load BOOK, then leave --book out."
        raise InputError(Problem(Place(item="--draft"), "--book", "the ledger alone", mend))
    shelf = _shelf(source, asked["at"])
    shelf = replace(shelf, engines=with_shop_defaults(shelf.engines, books, ledger))
    context.exit(_answer(source, shelf, RestockRequest(**asked)))


def _answer(source: Books | LedgerSource, shelf: RestockedShelf, asked: RestockRequest) -> int:

    asked.files.check()
    problems = unknown_names(shelf.engines, shelf.supply.parts)
    if problems:
        raise InputError(*problems)
    patience = Patience()
    request = Request(shelf.engines, asked.today, asked.prefer, patience)
    where = source.where if isinstance(source, LedgerSource) else None
    review = review_days(asked.review_days, Policy().review_days, where)

    def of(supply: Supply) -> Restock:
        return restocked(request, supply, shelf.usage, asked.policy(review), shelf.deliveries)

    sent: tuple[Surplus, ...] = ()
    with watched(patience):
        if asked.at is not None and isinstance(source, LedgerSource):
            answer, sent = refilled(source, shelf.supply, of)
        else:
            answer = of(shelf.supply)
    if asked.draft and isinstance(source, LedgerSource):
        click.echo(source.draft(answer.orders, Note(asked.who, asked.why)), err=True)
    _write(answer, source, shelf, asked)
    _print(answer, sent, asked, review)
    return BLOCKED if answer.blocked else SOLVED


def _print(answer: Restock, sent: tuple[Surplus, ...], asked: RestockRequest, review: ReviewDays) -> None:
    if asked.as_json:
        transfers = {} if asked.at is None else {"transfers": sent_rows(sent, asked.at, asked.today)}
        print_json(restock_document(answer, asked.today) | transfers)
    else:
        from stackopt.report.answer.page import terminal  # noqa: PLC0415 - rich is only for those who read tables
        from stackopt.report.reorder.page import restock_text  # noqa: PLC0415

        console = terminal(colour=not asked.no_color)
        click.echo(restock_text(console, answer, asked.today, review_stated=review.stated))
        for words in sent_words(sent, asked.at or "", asked.today):
            click.echo(words)


def _write(answer: Restock, source: Books | LedgerSource, shelf: RestockedShelf, asked: RestockRequest) -> None:
    if asked.workbook is None and asked.order_sheets is None:
        return
    from stackopt.books.out.letterhead import OrderHead  # noqa: PLC0415 - openpyxl is slow to import
    from stackopt.books.out.order_sheets import write_orders, write_restock  # noqa: PLC0415

    head = OrderHead(our_shop(source), due={engine.name: engine.due for engine in shelf.engines})
    if asked.workbook is not None:
        write_restock(asked.workbook, answer, shelf.supply.parts, asked.today, head, replace=asked.force)
    if asked.order_sheets is not None:
        write_orders(asked.order_sheets, answer.orders, shelf.supply.parts, asked.today, head, replace=asked.force)


def _shelf(source: Books | LedgerSource, at: str | None) -> RestockedShelf:
    """Gather what is restocked; what is on its way to an engine is not there for the shelf."""
    if at is not None:
        look_from(source, at, said=True)
    if not isinstance(source, LedgerSource):
        return RestockedShelf(source.supply, source.engines, source.usage)
    if at is not None:
        engines = source.engines()
        supply = source.ledger.shelf_to_refill(at, source.asking, source.today)
        return RestockedShelf(supply, engines, source.ledger.usage(at), source.ledger.deliveries(source.today))
    engines = source.engines()
    supply = source.ledger.supply(asking=source.asking, today=source.today)
    return RestockedShelf(supply, engines, source.ledger.usage(), source.ledger.deliveries(source.today))
