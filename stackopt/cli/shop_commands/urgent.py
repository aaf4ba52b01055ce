"""``stackopt shop urgent``: what releasing another engine's pieces would bring, shown first, then asked."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date
from shlex import quote
from typing import Any

import click
from msgspec import Struct
from msgspec.structs import replace

from stackopt.choose.built.board import EngineState
from stackopt.choose.choice_records import Choice, FittedEngine, GivingWay, Request
from stackopt.choose.giving_way import URGENT_PRIORITY, left_with, ways_of_giving
from stackopt.choose.solve.plan import checked_task, solved
from stackopt.choose.why.explain import Answer
from stackopt.cli.agreeing import check_agreed
from stackopt.cli.helping import examples
from stackopt.cli.ledger_options import at_option, noted_options
from stackopt.cli.printing import print_json
from stackopt.cli.shop_commands.board import today_option
from stackopt.cli.sources.ledger_source import LedgerSource, open_ledger_source
from stackopt.cli.sources.opening import look_from
from stackopt.cli.sources.shop_defaults import with_shop_defaults
from stackopt.engine.engine_records import Engine
from stackopt.problems import InputError, Place, Problem
from stackopt.report.answer.contests import giving_way_words
from stackopt.report.wording import counted, written_date
from stackopt.shop.database.note import Note
from stackopt.units import money


class Giving(Struct, frozen=True):
    """One way to finish an engine sooner: the choice with another's pieces, and what is then left with that other."""

    way: GivingWay
    choice: Choice
    holder: Engine
    after: FittedEngine


@click.command(epilog=examples("shop urgent J-104", "shop urgent J-104 --take J-107"))
@noted_options
@today_option
@at_option
@click.option("--take", metavar="ENGINE", help="Take the pieces of this engine without being asked.")
@click.option("--json", "as_json", is_flag=True, help="Print one JSON document of what could be done, and do nothing.")
@click.argument("engine")
def urgent(  # noqa: PLR0913 - one for each option
    ledger: str, note: Note, today: date, *, at: str, take: str | None, as_json: bool, engine: str
) -> None:
    """Show whose held pieces would finish an engine sooner, and what the other then waits for; take them once asked.

    Taken, they are held for it in one command, and it is the most urgent engine from then on. Who gave way keeps the
    rest, and is to be planned again.
    """
    source = open_ledger_source(ledger, today)
    look_from(source, at, said=bool(at))
    wanted = _engine_to_help(source, engine)
    request = Request((wanted,), today)
    supply = source.supply_for({wanted.family})
    if not {number for numbers in wanted.pinned.values() for number in numbers} <= supply.parts.keys():
        supply = source.supply  # what is fitted already may be listed for another family
    answer = Answer(request, supply, solved(checked_task(request, supply)), {}, {})
    ways = [_giving(source, *found) for found in ways_of_giving(answer, source.holders())]
    if as_json:
        print_json(_document(answer, ways, today))
        return
    click.echo(_as_it_stands(answer, today))
    for giving in ways:
        click.echo(f"-  {giving_way_words(giving.way, today)}.")
        click.echo(f"   {_after_words(giving, today)}")
    if take is None and not ways:
        if answer.choice.engines[0].ready_on(today) != today:
            click.echo("No piece that another engine holds would make it ready sooner.")
        return
    chosen = _chosen(ways, take)
    _give(source, replace(request, engines=(replace(wanted, priority=URGENT_PRIORITY),)), chosen, note)


def _engine_to_help(source: LedgerSource, name: str) -> Engine:
    """Return the engine, with what it holds itself counted as free.

    Raises
    ------
    InputError
        When the ledger does not know it, or its parts are in it already.
    """
    (wanted,) = with_shop_defaults([source.engine(name)], (), source.where)
    state = next((line.state for line in source.ledger.board(source.today) if line.engine == name), EngineState.CLOSED)
    if state in (EngineState.BEING_FITTED, EngineState.CLOSED):
        mend = "Its parts have left the shelf; for further work give it a number of its own."
        raise InputError(Problem(Place(name), str(state), "an engine that still waits for its parts", mend))
    source.asking.append(name)
    return wanted


def _giving(source: LedgerSource, way: GivingWay, choice: Choice) -> Giving:
    (holder,) = with_shop_defaults([source.engine(way.holder)], (), source.where)
    supply = source.reader.supply({holder.family}, [*source.asking, way.holder], today=source.today, at=source.at)
    return Giving(way, choice, holder, left_with(holder, supply, choice, source.today))


def _as_it_stands(answer: Answer, today: date) -> str:
    (engine,), (fitted,) = answer.request.engines, answer.choice.engines
    due = f", due {written_date(engine.due)}" if engine.due else ""
    if fitted.blocked:
        return f"{engine.name}{due}: nothing finishes it as things stand."
    ready = fitted.ready_on(today)
    if ready is None or ready == today:
        return f"{engine.name}{due}: ready today without anybody giving way: stackopt fit {quote(engine.name)} --hold"
    paid = f", for {money(answer.choice.spend_cents)}" if answer.choice.spend_cents else ""
    return f"{engine.name}{due}: ready on {written_date(ready)} as things stand{paid}."


def _after_words(giving: Giving, today: date) -> str:
    """Say what is left with the engine that gave way."""
    due = f", due {written_date(giving.holder.due)}" if giving.holder.due else ""
    ready = giving.after.ready_on(today)
    if ready is None:
        return f"{giving.holder.name}{due}: nothing would finish it then."
    late = giving.after.late_days(giving.holder.due, today)
    late_words = f", {counted(late, 'day')} late" if late else ""
    return f"{giving.holder.name}{due}: ready on {written_date(ready)} with others{late_words}."


def _chosen(ways: Sequence[Giving], take: str | None) -> Giving:
    """Return the way that is named, or agreed to.

    Raises
    ------
    InputError
        When that engine holds nothing that would help, or nobody is there to answer.
    """
    by_holder = {giving.way.holder: giving for giving in ways}
    if take is not None and take not in by_holder:
        expected = f"one of {', '.join(by_holder)}" if ways else "an engine whose pieces would help; there is none"
        raise InputError(Problem(Place(item="--take"), take, expected, "Nothing was stored."))
    if take is not None:
        return by_holder[take]
    first = ways[0].way
    others = "".join(f", or --take {quote(each.way.holder)}" for each in ways[1:])
    check_agreed(f"Take {first.holder}'s pieces for {first.engine}?", f"--take {quote(first.holder)}{others}")
    return ways[0]


def _give(source: LedgerSource, request: Request, giving: Giving, note: Note) -> None:
    way = giving.way
    noted = replace(note, why=note.why or f"{way.engine} is urgent")
    held = source.ledger.hold_all(request, giving.choice, noted, source.at, given_up=way)
    click.echo(f"Held for {way.engine}, as event {held.event}.")
    for number in held.orders:
        click.echo(f"Order {number} is drafted: stackopt shop send {number}.")
    lacks = ", ".join(f"{pieces} of {part}" for part, pieces in way.pieces.items())
    click.echo(f"{way.holder} lacks {lacks} now and is to be planned again: stackopt fit {quote(way.holder)} --hold")


def _document(answer: Answer, ways: Sequence[Giving], today: date) -> dict[str, Any]:
    (engine,), (fitted,) = answer.request.engines, answer.choice.engines
    return {
        "engine": engine.name,
        "due": engine.due and engine.due.isoformat(),
        "ready_on": _day(fitted, today),
        "ways": [
            {
                "holder": each.way.holder,
                "pieces": dict(each.way.pieces),
                "ready_on": each.way.ready_on.isoformat(),
                "spend_cents": each.way.spend_cents,
                "holder_due": each.holder.due and each.holder.due.isoformat(),
                "holder_ready_on": _day(each.after, today),
            }
            for each in ways
        ],
    }


def _day(fitted: FittedEngine, today: date) -> str | None:
    ready = fitted.ready_on(today)
    return ready.isoformat() if ready else None
