"""Reading a whole ledger: every row against its seal, all events against their chain, every sum worked out anew."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Iterable, Iterator
from functools import partial

from msgspec import Struct
from sqlalchemy import Connection, Table, func, select, text

from stackopt.problems import InputError
from stackopt.shop.database.acts import MEASURES, Act, Balance
from stackopt.shop.database.lists import read_current
from stackopt.shop.database.seals import Link, next_link, seal_of
from stackopt.shop.database.snapshot import SentenceParameters
from stackopt.shop.database.tables import LISTS, SEALED, chain, event, movement
from stackopt.shop.database.transactions import CoreSnapshot
from stackopt.shop.entries.agreement import check_search_agrees, check_sums_agree
from stackopt.shop.entries.balances import sums_by, sums_by_place
from stackopt.shop.entries.branches import MAIN
from stackopt.shop.standing.engines import open_engines
from stackopt.shop.standing.order_reading import read_open_orders
from stackopt.shop.standing.places import check_branches_named

ROWS_AT_ONCE = 5000
# Sums that hold at every branch of its own; the others are those of engines and orders.
OF_A_PLACE = ("on_hand", "held")
# So many rows of one table are named; a page holds some hundreds, and one line says as much.
MOST_NAMED = 5


class Verified(Struct, frozen=True):
    """What was read, and every damage that was found, in words; none where the ledger is whole."""

    events: int
    rows: int
    damage: tuple[str, ...]


def verify(connection: Connection) -> Verified:
    """Read everything, and tell what is damaged."""
    damage = list(_file_damage(connection))
    rows = 0
    linked: dict[int, list[Link]] = defaultdict(list)
    for table in SEALED:
        found, wrong = _read(connection, table, linked)
        rows += found
        damage += wrong
    damage += _chain_damage(connection, linked)
    damage += _sum_damage(connection)
    return Verified(len(linked), rows, tuple(damage))


def _file_damage(connection: Connection) -> Iterator[str]:
    """Yield what SQLite finds wrong with the file: its pages, its indexes, rows that refer to none."""
    if connection.dialect.name != "sqlite":
        return
    for (said,) in connection.execute(text(f"PRAGMA integrity_check({MOST_NAMED})")):
        if said != "ok":
            yield f"the file: {said}"
    for found in connection.execute(text("PRAGMA foreign_key_check")).fetchmany(MOST_NAMED):
        yield f"the list {found[0]!r}: row {found[1]} refers to a row of {found[2]!r} that is not there"


def _read(connection: Connection, table: Table, linked: dict[int, list[Link]]) -> tuple[int, list[str]]:
    """Check every row of a table against its seal, and note it for the chain."""
    found, wrong = 0, []
    query = select(table).order_by(table.c.id)
    for row in connection.execute(query, execution_options={"yield_per": ROWS_AT_ONCE}):
        cells = dict(row._mapping)
        found += 1
        linked[cells["id"] if table is event else cells["event"]].append((table.name, cells["id"], cells["seal"]))
        if seal_of(table.name, cells) != cells["seal"]:
            wrong.append(f"row {cells['id']}")
    named = ", ".join(wrong[:MOST_NAMED]) + (f" and {len(wrong) - MOST_NAMED} more" if len(wrong) > MOST_NAMED else "")
    return found, [f"the list {table.name!r}: {named} not as written"] if wrong else []


def _chain_damage(connection: Connection, linked: dict[int, list[Link]]) -> Iterator[str]:
    """Yield the first event whose rows do not come to its link: later ones hang on it."""
    links = {row.id: row.link for row in connection.execute(select(chain).order_by(chain.c.id))}
    before = ""
    for number in sorted(links.keys() | linked.keys()):
        before = next_link(before, linked.get(number, ()))
        if before != links.get(number):
            yield f"event {number}: its rows are not those that were written with it"
            return


def _sum_damage(connection: Connection) -> Iterator[str]:
    """Yield sums that cannot be, and what the lists contradict."""
    acts = select(movement.c.act).distinct().where(movement.c.act.not_in([act.value for act in Act]))
    for act in connection.execute(acts).scalars():
        yield f"movements: {act!r} is no act that is known"
    for (part,), sums in sums_by(connection, [movement.c.part]).items():
        yield from _low(f"sums of {part}", sums, MEASURES)
    places = sums_by_place(connection)
    if any(branch != MAIN for _, branch in places):
        for (part, branch), sums in places.items():
            yield from _low(f"sums of {part} at {branch or 'the main branch'}", sums, OF_A_PLACE)
    newest = connection.execute(select(func.max(event.c.id))).scalar() or 0
    if newest != connection.execute(select(func.count()).select_from(event)).scalar_one():
        yield "events: a number is missing"
    yield from _refused(connection)


def _low(whose: str, sums: Balance, measures: Iterable[str]) -> Iterator[str]:
    low = [f"{getattr(sums, name)} {name.replace('_', ' ')}" for name in measures if getattr(sums, name) < 0]
    low += [f"{sums.free} free"] if sums.free < 0 else []
    if low:
        yield f"{whose}: {', '.join(low)}"


def _refused(connection: Connection) -> Iterator[str]:
    """Yield what the readers of the ledger refuse."""
    snapshot = CoreSnapshot(connection)
    everything = partial(check_search_agrees, snapshot, "1 = 1", SentenceParameters())
    readers: list[Callable[[], object]] = [partial(check_sums_agree, snapshot), everything]
    readers += [partial(read_open_orders, snapshot), partial(open_engines, connection)]
    readers += [partial(check_branches_named, snapshot)]
    readers += [partial(read_current, connection, table) for table in LISTS]
    for reads in readers:
        try:
            reads()
        except InputError as error:
            yield from (problem.found for problem in error.problems)
