"""The board of the shop, put together from engines and orders as they stand."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from datetime import date, timedelta

from msgspec.structs import replace
from sqlalchemy import Connection, select

from stackopt.choose.built.board import Awaited, BoardLine, Stand, board_line, most_urgent_first, was_remeasured
from stackopt.choose.built.build import Build
from stackopt.choose.choice_records import Request
from stackopt.choose.coming import coming_from
from stackopt.choose.solve.plan import without_stacks
from stackopt.engine.engine_records import Engine
from stackopt.parts.part_records import Supply
from stackopt.shop.database.snapshot import SentenceParameters, Snapshot
from stackopt.shop.database.tables import build, measured
from stackopt.shop.database.transactions import CoreSnapshot
from stackopt.shop.entries.branches import Branches, read_branches
from stackopt.shop.entries.recorded import read_as
from stackopt.shop.standing.engines import OpenEngine, open_engines
from stackopt.shop.standing.order_reading import read_open_orders
from stackopt.shop.standing.placed import OrderStep, PlacedOrder
from stackopt.shop.standing.places import here_on, read_shelves
from stackopt.shop.standing.supplying import read_supply
from stackopt.shop.standing.voided import void_measurements

# So many engines stay on the board after they were closed: what was finished lately is still asked for.
CLOSED_SHOWN = 10

NOTHING_FITS = "Nothing that is here or can be bought in time fits every cylinder of it."
FITTED_NOTHING = "Nothing was left that fits it when it was planned by"


def read_board(connection: Connection, today: date, *, every: bool = False) -> tuple[BoardLine, ...]:
    """Return a line for every open engine and for those closed last, the most urgent first.

    Parameters
    ----------
    connection
        The ledger.
    today
        The day from which lateness counts.
    every
        Also tell all those that were ever closed.
    """
    snapshot = CoreSnapshot(connection)
    branches, engines = read_branches(snapshot), open_engines(connection)
    built_at = {each.engine.name: each.branch for each in engines}
    waiting = awaited_by_engine(read_open_orders(snapshot), today, branches, built_at)
    measured_cylinders = _measured(connection)
    hopeless = _hopeless(connection, [each.engine for each in engines if each.is_to_plan], today)
    free = _free(snapshot, {each.part for awaited in waiting.values() for each in awaited})
    stands = [
        replace(
            _stand(each, (*_to_bring(each, branches, today), *waiting[each.engine.name]), measured_cylinders),
            blocked=_blocked_words(each, hopeless),
            branch=branches.name(each.branch),
            free={part: pieces for (part, where), pieces in free.items() if where == each.branch},
        )
        for each in engines
    ]
    stands += _closed(connection, None if every else CLOSED_SHOWN, branches)
    return most_urgent_first(board_line(stand, today) for stand in stands)


def awaited_by_engine(
    orders: Iterable[PlacedOrder], today: date, branches: Branches, built_at: Mapping[str, str]
) -> dict[str, tuple[Awaited, ...]]:
    """Return what each engine waits for, the soonest first; nothing for an engine that waits for nothing.

    What comes to another branch than the one where it is built is to be transferred then.
    """
    waiting: dict[str, tuple[Awaited, ...]] = defaultdict(tuple)
    for order in orders:
        days = order.days_of_content(today)
        for (engine, part), quantity in sorted(order.promised.items()):
            sent = order.step is OrderStep.SENT
            day = here_on(branches, order, days[part], built_at.get(engine, order.route.destination))
            waiting[engine] += (Awaited(part, quantity, order.number, order.supplier, day, sent),)
    for engine, pieces in waiting.items():
        waiting[engine] = tuple(sorted(pieces, key=lambda each: (each.here_on, each.order, each.part)))
    return waiting


def _free(snapshot: Snapshot, parts: Collection[str]) -> dict[tuple[str, str], int]:
    """Return how many pieces of these parts lie free, by part number and branch."""
    names = SentenceParameters()
    shelves = read_shelves(snapshot, names.among("part", sorted(parts)), names) if parts else {}
    return {place: here - held for place, (here, held) in shelves.items() if here > held}


def _to_bring(each: OpenEngine, branches: Branches, today: date) -> Iterator[Awaited]:
    """Yield what is held for an engine at other branches, as if it were sent today."""
    for (part, where), pieces in each.elsewhere.items():
        days, name = branches.days_between(where, each.branch) or 0, branches.name(where)
        yield Awaited(part, pieces, 0, coming_from(name), today + timedelta(days=days), sent=False, branch=name)


def _blocked_words(each: OpenEngine, hopeless: Collection[str]) -> str:
    if each.engine.name in hopeless:
        return NOTHING_FITS
    return each.blocked and f"{FITTED_NOTHING} {each.blocked}."


def _stand(each: OpenEngine, awaited: tuple[Awaited, ...], measured_cylinders: set[tuple[str, str]]) -> Stand:
    name = each.engine.name
    cylinders = [cylinder.name for cylinder in each.engine.cylinders]
    return Stand(
        engine=name,
        family=each.engine.family,
        due=each.engine.due,
        held={part: pieces for (part, where), pieces in each.lying.items() if where == each.branch},
        fitted=each.pieces("fitted"),
        awaited=awaited,
        lacks=each.lacks,
        unmeasured=tuple(cylinder for cylinder in cylinders if (name, cylinder) not in measured_cylinders),
        who=each.chosen_by,
        remeasured=each.chosen is not None and each.is_begun and was_remeasured(each.chosen, each.engine.cylinders),
    )


def _hopeless(connection: Connection, engines: Sequence[Engine], today: date) -> frozenset[str]:
    """Return the engines among these with a cylinder that nothing fits of all that is here or can be bought in time."""
    if not engines:
        return frozenset()
    snapshot, names = CoreSnapshot(connection), [engine.name for engine in engines]
    supply = read_supply(snapshot, {engine.family for engine in engines}, names)
    supply = supply if _has_fitted(engines, supply) else read_supply(snapshot, asking=names)
    known = [engine for engine in engines if _has_fitted([engine], supply)]
    return without_stacks(Request(tuple(known), today), supply)


def _has_fitted(engines: Iterable[Engine], supply: Supply) -> bool:
    """Tell whether a supply lists all that is fitted on these engines already."""
    return all(part in supply.parts for engine in engines for parts in engine.pinned.values() for part in parts)


def _measured(connection: Connection) -> set[tuple[str, str]]:
    """Return the cylinders of open engines of which a quench was measured."""
    query = select(measured.c.engine, measured.c.cylinder, measured.c.event)
    rows = connection.execute(query.where(measured.c.engine.not_in(select(build.c.engine)))).all()
    void = void_measurements(connection) if rows else set()
    return {(row.engine, row.cylinder) for row in rows if row.event not in void}


def _closed(connection: Connection, newest: int | None, branches: Branches) -> list[Stand]:
    query = select(build.c.record).order_by(build.c.id.desc()).limit(newest)
    return [_closed_stand(read_as(Build, record), branches) for record in connection.execute(query).scalars()]


def _closed_stand(record: Build, branches: Branches) -> Stand:
    engine = record.chosen.engine
    branch = branches.name(record.chosen.branch)
    return Stand(
        engine.name, engine.family, engine.due, {}, {}, (), {}, (), who=record.chosen_by, closed=True, branch=branch
    )
