"""`fit` and `plan`: one engine, or all open engines of one shelf."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from concurrent.futures import Executor
from datetime import date
from pathlib import Path
from typing import Any

import pandas as pd
from msgspec import Struct
from msgspec.structs import replace

from stackopt.books.engine_text.shop_tolerance import with_tolerance
from stackopt.choose.choice_records import Choice, Request
from stackopt.choose.solve.plan import checked_task, solved
from stackopt.choose.solve.task import Task
from stackopt.choose.tried.bound import heads_for_bases
from stackopt.choose.tried.hand import Pieces, pieces_in_hand
from stackopt.choose.tried.stacks import tried_stacks
from stackopt.choose.why.explain import Answer, explained
from stackopt.choose.why.frontier import MOST_POINTS, check_pair
from stackopt.choose.why.frontier import trade_off as trade_off_of
from stackopt.choose.why.lever_offers import lever_offers
from stackopt.engine.cautions import Units
from stackopt.engine.engine_records import Engine
from stackopt.problems import InputError, Place, Problem
from stackopt.stocking.filling import filled_for_the_shelf, joined_for_the_shelf
from stackopt.tables.answers import AnswerTables
from stackopt.tables.call import at_least, day_of, in_words_of_calls, named_engine, names_of, seconds_of, shown
from stackopt.tables.engines import read_engine
from stackopt.tables.notebook import Progress, interruptible
from stackopt.tables.quantities import plain
from stackopt.tables.source import Given, GivenRecords, engines_of_frame, source_of

AnyEngine = str | Path | Mapping[str, Any] | Engine | pd.DataFrame
# By cylinder the pieces of a stack: part numbers, texts with a unit, or quantities.
InHand = Mapping[str, Sequence[Any]]


@in_words_of_calls
def fit(
    engine: AnyEngine,
    books: Given | None = None,
    *,
    stock: pd.DataFrame | None = None,
    offers: pd.DataFrame | None = None,
    suppliers: pd.DataFrame | None = None,
    kits: pd.DataFrame | None = None,
    prefer: str | Sequence[str] = (),
    today: date | None = None,
    time_limit: float | None = None,
    progress: Progress | None = None,
    trade_off: str | Sequence[str] = (),
    points: int = MOST_POINTS,
    levers: bool = False,
    in_hand: InHand | None = None,
    executor: Executor | None = None,
) -> AnswerTables:
    """Choose the gaskets for one engine, from the shelf and the suppliers' lists.

    Parameters
    ----------
    engine
        The name of an engine of the books or the ledger; an engine file's path or text, a mapping of the same keys,
        or what `read_engine` returned; or a frame with the rows of one engine, as `books.engines` has them.
    books
        What `read_books` or `open_ledger` returned; or, in its place, frames:
    stock, offers, suppliers, kits
        Frames with the columns of `books.stock` and so on; they are checked as sheets are.
    prefer
        What counts most, in this order, as ``("spend", "special-orders")``; the rest of the usual order follows.
    today
        The day to count from; else today.
    time_limit
        Seconds after which the best found is the answer, with how far it can be off.
    progress
        Called with an objective's name, the best value found and its bound, many times a second.
    trade_off, points
        Two objectives, as ``("spend", "closeness")``: `answer.trade_off` then holds every answer that nothing betters
        in both; at most so many where one of the two is no whole number.
    levers
        Whether `answer.levers` tells what cuts, a spacer and other pistons would do.
    in_hand
        Stacks to try, by cylinder: ``{"front": ["BG82-040", "0.55 mm"]}``, base gasket first, part numbers or
        thicknesses; a ``"?"`` in place of one piece asks which is needed. `answer.tried` then tells what comes out.
    executor
        Who solves the answers of a trade-off side by side; as in `plan`.

    Raises
    ------
    InputError
        When the engine or a frame cannot be read, or is of a family that no part names; when a name in `prefer` or
        `trade_off`, or a cylinder or part in `in_hand`, is not known.
    """
    frames = {"stock": stock, "offers": offers, "suppliers": suppliers, "kits": kits}
    source = source_of(books, frames)
    wishes = AnswerWishes(
        names_of(prefer),
        day_of(today),
        seconds_of(time_limit),
        progress,
        names_of(trade_off),
        at_least(2, "points", points),
        levers,
        in_hand or {},
    )
    return _answer((_engine(named_engine(engine, source.known_engines), source),), source, wishes, executor)


@in_words_of_calls
def plan(
    books: Given | None = None,
    *,
    stock: pd.DataFrame | None = None,
    offers: pd.DataFrame | None = None,
    suppliers: pd.DataFrame | None = None,
    kits: pd.DataFrame | None = None,
    engines: pd.DataFrame | Sequence[AnyEngine] | None = None,
    prefer: str | Sequence[str] = (),
    today: date | None = None,
    time_limit: float | None = None,
    progress: Progress | None = None,
    trade_off: str | Sequence[str] = (),
    points: int = MOST_POINTS,
    levers: bool = False,
    executor: Executor | None = None,
) -> AnswerTables:
    """Choose the gaskets for all open engines from one shelf.

    Parameters
    ----------
    books
        What `read_books` or `open_ledger` returned; or, in its place, frames:
    stock, offers, suppliers, kits
        As in `fit`.
    engines
        A frame with the columns of `books.engines`, beside books too; or a list of engines as `fit` takes them; else
        the open engines of the books.
    prefer, today, time_limit, progress
        As in `fit`; of what others solve nothing is told on the way.
    trade_off, points, levers
        As in `fit`, over all engines.
    executor
        Who solves the groups of engines that share no part, and the answers of a trade-off: any executor of
        `concurrent.futures`, here or elsewhere. Else this process does; the answer is the same except for
        the seconds it took, unless a time limit ends it. At an interrupt or the time limit, workers
        finish what they have begun, and those results are ignored.

    Raises
    ------
    InputError
        As in `fit`; and when there is no engine to plan.
    """
    frames = {"stock": stock, "offers": offers, "suppliers": suppliers, "kits": kits}
    if books is None and isinstance(engines, pd.DataFrame):
        frames["engines"] = engines
    source = source_of(books, frames)
    chosen = _chosen(source.engines if "engines" in frames else engines, source)
    if not chosen:
        raise InputError(Problem(Place(item="engines"), "", "at least one engine to plan"))
    wishes = AnswerWishes(
        names_of(prefer),
        day_of(today),
        seconds_of(time_limit),
        progress,
        names_of(trade_off),
        at_least(2, "points", points),
        levers,
    )
    return _answer(chosen, source, wishes, executor)


def _chosen(engines: pd.DataFrame | Sequence[AnyEngine] | None, source: GivenRecords) -> tuple[Engine, ...]:
    """Return the engines to plan: those of a frame or a list, else all open ones."""
    if engines is None:
        return source.engines
    if isinstance(engines, pd.DataFrame):
        return with_tolerance(engines_of_frame(engines), source.tolerance_mm)
    if isinstance(engines, str | Mapping) or not isinstance(engines, Iterable):
        mend = "Put a list of engines, as ['HC-11', 'HC-14'], or a frame."
        raise InputError(Problem(Place(item="engines"), shown(engines), "several engines", mend))
    return tuple(_engine(named_engine(each, source.known_engines), source) for each in engines)


class AnswerWishes(Struct, frozen=True):
    """What is asked of an answer, as the parameters of `fit` tell."""

    prefer: tuple[str, ...]
    today: date
    time_limit: float | None
    progress: Progress | None
    trade_off: tuple[str, ...]
    points: int
    levers: bool
    in_hand: InHand = {}


def _answer(
    engines: tuple[Engine, ...], source: GivenRecords, wishes: AnswerWishes, executor: Executor | None = None
) -> AnswerTables:
    today = wishes.today
    if wishes.trade_off:
        check_pair(wishes.trade_off)
    supply = source.supply_for(engines, today)
    hand = pieces_in_hand(engines[0], supply, _named(wishes.in_hand)) if wishes.in_hand else {}
    with interruptible(wishes.time_limit, wishes.progress) as patience:
        request = Request(engines, today, wishes.prefer, patience, executor=executor)
        task = checked_task(request, supply)
        choice = filled_for_the_shelf(request, solved(task), source.shelf(supply, today))
    with interruptible(patience.afterwards().seconds_left, None) as explaining:
        joined = joined_for_the_shelf(request, choice, source.shelf(source.whole_supply, today))
        return AnswerTables(_explained(replace(request, patience=explaining), task, joined, wishes, hand))


def _explained(
    request: Request, task: Task, choice: Choice, wishes: AnswerWishes, hand: Mapping[str, Pieces]
) -> Answer:
    """Return the answer with its reasons and with whatever else is asked of it."""
    engines, supply = request.engines, task.supply
    units = Units.INCH if all(engine.units is Units.INCH for engine in engines) else Units.MM
    alone = replace(request, executor=None)
    answer = replace(explained(alone, task, choice), units=units)
    if wishes.trade_off:
        answer = replace(answer, trade_off=trade_off_of(request, supply, wishes.trade_off, wishes.points))
    if len(engines) == 1:
        heads = heads_for_bases(alone, supply, engines[0], choice.engines[0])
        answer = replace(answer, heads=heads, tried=tried_stacks(engines[0], supply, hand))
    if wishes.levers:
        answer = replace(answer, lever_offers=lever_offers(alone, supply, choice))
    return answer


def _named(in_hand: InHand) -> list[str]:
    """Return stacks as the command line has them: ``front=BG82-040+0.55 mm``."""
    listed = {cylinder: [pieces] if isinstance(pieces, str) else pieces for cylinder, pieces in in_hand.items()}
    return [f"{cylinder}={'+'.join(map(str, plain(list(pieces))))}" for cylinder, pieces in listed.items()]


def _engine(engine: AnyEngine, source: GivenRecords) -> Engine:
    """Return the engine that is meant, with the shop's tolerance where it states none."""
    (known,) = with_tolerance([_engine_meant(engine, source)], source.tolerance_mm)
    return known


def _engine_meant(engine: AnyEngine, source: GivenRecords) -> Engine:
    if isinstance(engine, Engine):
        return engine
    if isinstance(engine, pd.DataFrame):
        listed = engines_of_frame(engine)
        if len(listed) != 1:
            names = ", ".join(own.name for own in listed) or "no engine"
            raise InputError(Problem(Place(item="engine"), names, "the rows of one engine"))
        return listed[0]
    if isinstance(engine, str) and "\n" not in engine:
        for known in source.engines:
            if known.name == engine:
                return known
    return read_engine(engine, source.tolerance_mm)
