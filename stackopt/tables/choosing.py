"""`fit` and `plan`: one engine, or all open engines of one shelf."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from concurrent.futures import Executor
from datetime import date
from pathlib import Path
from typing import Any

import pandas as pd
from msgspec.structs import replace

from stackopt.books.engine_text.shop_tolerance import with_tolerance
from stackopt.choose.records import Request
from stackopt.choose.solve.plan import checked_task, solved
from stackopt.choose.why.explain import explained
from stackopt.engine.records import Engine
from stackopt.problems import InputError, Place, Problem
from stackopt.stocking.reorder.useful import ShelfAhead, fill_usefully
from stackopt.tables.answers import AnswerTables
from stackopt.tables.engines import read_engine
from stackopt.tables.patience import Progress, interruptible
from stackopt.tables.source import Given, GivenRecords, source_of

AnyEngine = str | Path | Mapping[str, Any] | Engine


def fit(
    engine: AnyEngine,
    books: Given | None = None,
    *,
    stock: pd.DataFrame | None = None,
    offers: pd.DataFrame | None = None,
    suppliers: pd.DataFrame | None = None,
    kits: pd.DataFrame | None = None,
    prefer: Sequence[str] = (),
    today: date | None = None,
    time_limit: float | None = None,
    progress: Progress | None = None,
) -> AnswerTables:
    """Choose the gaskets for one engine, from the shelf and the suppliers' lists.

    Parameters
    ----------
    engine
        An engine file's path or text, a mapping of the same keys, what `read_engine` returned, or the name of an
        engine of the books
        or the ledger.
    books
        What `read_books` or `open_ledger` returned; or, in its place, frames:
    stock, offers, suppliers, kits
        Frames with the columns of `books.stock` and so on; they are checked as sheets are.
    prefer
        What counts most, in this order, as ``("spend", "special-orders")``; the rest of the usual order follows.
    today
        The day to reckon from; else today.
    time_limit
        Seconds after which the best found is the answer, with how far it can be off.
    progress
        Called with an objective's name, the best value found and its bound, many times a second.

    Raises
    ------
    InputError
        When the engine or a frame cannot be read, or is of a family that no part names; when a name in `prefer` is not
        known.
    """
    frames = {"stock": stock, "offers": offers, "suppliers": suppliers, "kits": kits}
    source = source_of(books, frames)
    return _answer((_engine(engine, source),), source, (prefer, today, time_limit, progress))


def plan(
    books: Given | None = None,
    *,
    stock: pd.DataFrame | None = None,
    offers: pd.DataFrame | None = None,
    suppliers: pd.DataFrame | None = None,
    kits: pd.DataFrame | None = None,
    engines: pd.DataFrame | Sequence[AnyEngine] | None = None,
    prefer: Sequence[str] = (),
    today: date | None = None,
    time_limit: float | None = None,
    progress: Progress | None = None,
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
        A frame with the columns of `books.engines`, or a list of engines as `fit` takes them; else the open engines of
        the books.
    prefer, today, time_limit, progress
        As in `fit`; of what others solve nothing is told on the way.
    executor
        Who solves the groups of engines that share no part: any executor of `concurrent.futures`, of this machine or
        of others. Else this process does; the answer is the same but for the seconds it took. What others have begun
        when an interrupt or the time limit comes they end, unheard.

    Raises
    ------
    InputError
        As in `fit`; and when there is no engine to plan.
    """
    listed = None if isinstance(engines, pd.DataFrame) else engines
    frames = {"stock": stock, "offers": offers, "suppliers": suppliers, "kits": kits}
    if isinstance(engines, pd.DataFrame):
        frames["engines"] = engines
    source = source_of(books, frames)
    chosen = source.engines if listed is None else tuple(_engine(each, source) for each in listed)
    if not chosen:
        raise InputError(Problem(Place(item="engines"), "", "at least one engine to plan"))
    return _answer(chosen, source, (prefer, today, time_limit, progress), executor)


Wishes = tuple[Sequence[str], date | None, float | None, Progress | None]


def _answer(
    engines: tuple[Engine, ...], source: GivenRecords, wishes: Wishes, executor: Executor | None = None
) -> AnswerTables:
    prefer, today, time_limit, progress = wishes
    supply = source.supply_for(engines)
    with interruptible(time_limit, progress) as patience:
        request = Request(engines, today or date.today(), tuple(prefer), patience, executor=executor)
        task = checked_task(request, supply)
        choice = fill_usefully(request, supply, solved(task), ShelfAhead(source.usage))
    with interruptible(patience.afterwards().seconds_left, None) as explaining:
        return AnswerTables(explained(replace(request, patience=explaining, executor=None), task, choice))


def _engine(engine: AnyEngine, source: GivenRecords) -> Engine:
    """Return the engine that is meant, with the shop's tolerance where it states none."""
    (known,) = with_tolerance([_engine_meant(engine, source)], source.tolerance_mm)
    return known


def _engine_meant(engine: AnyEngine, source: GivenRecords) -> Engine:
    if isinstance(engine, Engine):
        return engine
    if isinstance(engine, str) and "\n" not in engine:
        for known in source.engines:
            if known.name == engine:
                return known
    return read_engine(engine, source.tolerance_mm)
