"""From engines and a supply to a printed answer: what `fit` and `plan` do alike."""

from __future__ import annotations

import sys
from collections.abc import Mapping, Sequence

import click
from msgspec.structs import replace

from stackopt.choose.choice_records import Choice, Fitted, Request
from stackopt.choose.giving_way import WHO_GIVES_WAY, giving_way
from stackopt.choose.patience import Patience, in_time
from stackopt.choose.solve.plan import checked_task, solved
from stackopt.choose.solve.task import Task
from stackopt.choose.tried.bound import bound_outcomes, heads_for_bases
from stackopt.choose.tried.hand import Pieces, part_numbers_in, pieces_in_hand
from stackopt.choose.tried.stacks import tried_stacks
from stackopt.choose.why.explain import Answer, explained
from stackopt.choose.why.frontier import Frontier, check_pair, trade_off
from stackopt.choose.why.lever_offers import lever_offers
from stackopt.cli.answers.filling import filled_from, joined_from
from stackopt.cli.answers.previous import read_previous
from stackopt.cli.answers.watching import ANSWER, watched
from stackopt.cli.exit_codes import BLOCKED, SOLVED
from stackopt.cli.options import Wishes
from stackopt.cli.printing import print_json
from stackopt.cli.sources.ledger_source import LedgerSource
from stackopt.cli.sources.our_shop import our_shop
from stackopt.cli.sources.source import PartsSource
from stackopt.engine.cautions import Units
from stackopt.engine.engine_records import Engine
from stackopt.parts.part_records import Supply
from stackopt.parts.unknown import unknown_names
from stackopt.problems import InputError
from stackopt.report.answer.document import answer_document
from stackopt.report.drawings.pictures import check_picture
from stackopt.report.plan.shown import Shown
from stackopt.shop.database.note import Note


def answer_and_print(engines: Sequence[Engine], source: PartsSource, asked: Wishes) -> int:
    """Choose for these engines, hold what is chosen where that is asked, print the answer, and return the exit code.

    Raises
    ------
    InputError
        When an engine is of a family that no part names; when a name in `prefer` is not known; when what was chosen
        cannot be held; or when the answer cannot be written where it is asked for.
    """
    _check(asked)
    supply = supply_of(engines, source, asked.hand)
    hand = pieces_in_hand(engines[0], supply, asked.hand) if asked.hand else {}
    patience = Patience.of_seconds(asked.time_limit)
    request = Request(tuple(engines), asked.today, asked.prefer, patience, _previous(source, asked))
    task = checked_task(request, supply)
    with watched(patience):
        choice = filled_from(request, solved(task), source)
    if isinstance(source, LedgerSource):
        for words in source.remarks(choice.orders):
            click.echo(words, err=True)
    if asked.hold and isinstance(source, LedgerSource):
        click.echo(source.hold(request, choice, Note(asked.who, asked.why)), err=True)
    explaining = patience.afterwards()
    with watched(explaining, ANSWER):
        joined = choice if explaining.is_stopped or asked.hand else joined_from(request, choice, source)
        answer = _explained(replace(request, patience=explaining), task, joined, asked, hand)
        answer = _with_who_gives_way(answer, source)
    _write(answer, source, asked)
    _print(answer, asked)
    return BLOCKED if choice.blocked and not asked.hand else SOLVED


def _explained(request: Request, task: Task, choice: Choice, asked: Wishes, hand: Mapping[str, Pieces]) -> Answer:
    """Return the answer with its reasons and with whatever else is asked of it."""
    engines, supply = request.engines, task.supply
    answer = explained(request, task, choice, _shown(asked).who_stood_back(len(engines)))
    answer = replace(answer, units=_units(engines, asked), trade_off=_frontier(request, supply, asked))
    if len(engines) == 1:
        heads = heads_for_bases(request, supply, engines[0], choice.engines[0])
        chosen = bound_outcomes(request, supply, engines[0], choice.engines[0]) if hand else {}
        answer = replace(answer, heads=heads, tried=tried_stacks(engines[0], supply, hand, chosen))
    if asked.levers:
        answer = replace(answer, lever_offers=lever_offers(request, supply, choice))
    return answer


def _with_who_gives_way(answer: Answer, source: PartsSource) -> Answer:
    """Add whose held pieces would finish an engine sooner; only the ledger knows who holds any.

    The board takes longer to read than one engine to choose for: for an engine alone it is read where it is blocked.
    """
    plan = len(answer.request.engines) > 1
    is_stuck = any(fitted.blocked or (plan and fitted.wait_days) for fitted in answer.choice.engines)
    if not isinstance(source, LedgerSource) or not is_stuck:
        return answer
    found, all_found = in_time(giving_way(answer, source.holders()))
    untold = answer.untold if all_found else (*answer.untold, WHO_GIVES_WAY)
    return replace(answer, giving_way=found, untold=untold)


def _shown(asked: Wishes) -> Shown:
    """Return how much of a plan is asked for; a document and a trade-off hold all of it."""
    return Shown(asked.everything or asked.as_json or asked.trade_off is not None, asked.engine_names)


def _units(engines: Sequence[Engine], asked: Wishes) -> Units:
    """Return the unit that is asked for, else the one that all engines were written in."""
    if asked.units is not None:
        return Units(asked.units)
    return Units.INCH if all(engine.units is Units.INCH for engine in engines) else Units.MM


def _previous(source: PartsSource, asked: Wishes) -> Fitted:
    """Return what an earlier plan gave: the file that is named, else what is held in the ledger."""
    if asked.previous is None:
        return source.previous if isinstance(source, LedgerSource) else {}

    return read_previous(asked.previous)


def _check(asked: Wishes) -> None:
    """Look before anything is solved whether what is asked can be answered and written."""
    asked.files.check()
    if asked.picture is not None:
        check_picture(asked.picture, replace_it=asked.force)
    if asked.trade_off is not None:
        check_pair(asked.trade_off)


def _frontier(request: Request, supply: Supply, asked: Wishes) -> Frontier | None:
    if asked.trade_off is None:
        return None

    return trade_off(request, supply, asked.trade_off, asked.points)


def supply_of(engines: Sequence[Engine], source: PartsSource, hand: Sequence[str] = ()) -> Supply:
    """Return what there is for these engines; all parts are only looked at where these do not name everything."""
    families = {engine.family for engine in engines}
    fitted = {number for engine in engines for numbers in engine.pinned.values() for number in numbers}
    supply = source.supply_for(families)
    fitted |= {number for number in part_numbers_in(hand) if number in source.parts} if hand else set()
    named = {family for part in supply.parts.values() for family in part.families}
    if families <= named and fitted <= supply.parts.keys():
        return supply
    problems = unknown_names(engines, source.parts)
    if problems:
        raise InputError(*problems)
    # What is fitted already may be listed for another family.
    return source.supply_for(families.union(*(source.parts[number].families for number in fitted)))


def _write(answer: Answer, source: PartsSource, asked: Wishes) -> None:
    if asked.picture is not None:
        from stackopt.report.drawings.plan_picture import draw_plan  # noqa: PLC0415 - only for those who want a picture

        draw_plan(asked.picture, answer)
    if asked.workbook is None and asked.order_sheets is None:
        return
    from stackopt.books.out.letterhead import OrderHead  # noqa: PLC0415 - openpyxl is slow to import
    from stackopt.books.out.order_sheets import write_orders  # noqa: PLC0415
    from stackopt.books.out.plan_book import write_plan  # noqa: PLC0415

    parts, choice = answer.supply.parts, answer.choice
    head = OrderHead(our_shop(source), due={engine.name: engine.due for engine in answer.request.engines})
    if asked.workbook is not None:
        write_plan(asked.workbook, answer, head, replace=asked.force)
    if asked.order_sheets is not None:
        write_orders(asked.order_sheets, choice.orders, parts, asked.today, head, replace=asked.force)


def _print(answer: Answer, asked: Wishes) -> None:
    if asked.as_json:
        print_json(answer_document(answer))
        return
    from stackopt.report.answer.page import answer_text, terminal  # noqa: PLC0415 - rich is only for those who read tables

    console = terminal(colour=not asked.no_color)
    if len(answer.choice.engines) == 1 and not asked.engine_names:
        click.echo(answer_text(console, answer))
        return
    from stackopt.report.plan.page import plan_text  # noqa: PLC0415 - not for one engine alone

    text = plan_text(console, answer, _shown(asked))
    if asked.everything and sys.stdout.isatty() and text.count("\n") >= console.height:
        click.echo_via_pager(text)
    else:
        click.echo(text)
