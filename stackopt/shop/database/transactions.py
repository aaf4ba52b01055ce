"""One command, one transaction: whole or absent, and nobody else writes in between."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping, Sequence
from contextlib import contextmanager
from datetime import UTC, datetime
from typing import Any

from msgspec import Struct
from msgspec.structs import asdict
from sqlalchemy import Column, Connection, Engine, Float, Table, func, insert, select, text
from sqlalchemy.exc import DatabaseError, IntegrityError, InterfaceError

from stackopt.shop.database.acts import EFFECTS, Act
from stackopt.shop.database.address import WRITING
from stackopt.shop.database.bins import made_up, read_bin_sums
from stackopt.shop.database.columns import metadata
from stackopt.shop.database.faults import fault_of
from stackopt.shop.database.note import Note
from stackopt.shop.database.rights import check_may
from stackopt.shop.database.seals import SEAL, UNSAID, Link, next_link, seal_of
from stackopt.shop.database.tables import chain, event, movement

# Where a connection keeps what the transaction has appended, by event.
APPENDED = "stackopt_appended"
# Any number: the one at which all who make or change tables on a server queue.
ALTERING_LOCK = 7_301_944


@contextmanager
def clear_faults(shown: str, *, reading: bool = False) -> Iterator[None]:
    """Turn what the database refuses into an `InputError` that names the ledger and says how to go on."""
    try:
        yield
    except IntegrityError:
        raise  # a rule of the tables was broken, which only a fault of this program can do
    except (DatabaseError, InterfaceError) as error:
        raise fault_of(shown, error.orig, reading=reading) from error
    except (OverflowError, UnicodeError) as error:
        raise fault_of(shown, error, reading=reading) from error


@contextmanager
def reading(engine: Engine, shown: str) -> Iterator[Connection]:
    """Open one snapshot: what others store meanwhile is not seen."""
    with clear_faults(shown, reading=True), engine.connect() as connection, connection.begin():
        yield connection


@contextmanager
def writing(engine: Engine, shown: str) -> Iterator[Connection]:
    """Open a transaction in which nobody else writes; an error in it leaves nothing behind.

    Writers queue: SQLite knows no other way, and with a command in milliseconds a server needs none. So what is free
    when it is looked at is still free when it is held.
    """
    with clear_faults(shown), engine.connect().execution_options(**{WRITING: True}) as connection, connection.begin():
        if connection.dialect.name == "postgresql":
            connection.execute(text("LOCK TABLE event IN EXCLUSIVE MODE"))
        connection.info[APPENDED] = defaultdict(list)
        yield connection
        lengthen_chain(connection, connection.info.pop(APPENDED))


@contextmanager
def altering(engine: Engine, shown: str) -> Iterator[Connection]:
    """Open a transaction in which the tables are made or changed; on a server, others who would do the same queue."""
    with clear_faults(shown), engine.connect().execution_options(**{WRITING: True}) as connection:
        if connection.dialect.name == "sqlite":
            # A table that is made anew goes away for a moment; within a transaction this can not be said.
            connection.connection.cursor().execute("PRAGMA foreign_keys = OFF")
        with connection.begin():
            if connection.dialect.name == "postgresql":
                connection.execute(text("SELECT pg_advisory_xact_lock(:lock)"), {"lock": ALTERING_LOCK})
            yield connection


def next_id(connection: Connection, table: Table) -> int:
    """Return the number of the next row."""
    return int(connection.execute(select(func.coalesce(func.max(table.c.id), 0) + 1)).scalar_one())


def append(connection: Connection, table: Table, event_id: int, rows: list[dict[str, Any]]) -> None:
    """Add rows of one event."""
    if not rows:
        return
    first = next_id(connection, table)
    insert_sealed(
        connection, table, [{"id": first + offset, "event": event_id, **row} for offset, row in enumerate(rows)]
    )


def insert_sealed(connection: Connection, table: Table, rows: list[dict[str, Any]]) -> None:
    """Add rows with their seals, and note them for the chain."""
    appended = connection.info.get(APPENDED)
    sealed = []
    for row in rows:
        cells = {
            column.name: _stored(column, row.get(column.name, UNSAID.get((table.name, column.name))))
            for column in table.columns
            if column.name != SEAL
        }
        cells[SEAL] = seal_of(table.name, cells)
        sealed.append(cells)
        if appended is not None:
            appended[cells.get("event", cells["id"])].append((table.name, cells["id"], cells[SEAL]))
    connection.execute(insert(table), sealed)


def _stored(column: Column[Any], cell: Any) -> Any:
    """Return a cell as the database will give it back: a whole number in a column of measures has a decimal point."""
    return float(cell) if cell is not None and isinstance(column.type, Float) else cell


def lengthen_chain(connection: Connection, appended: Mapping[int, list[Link]]) -> None:
    """Add the links of events whose rows were appended."""
    before = connection.execute(select(chain.c.link).order_by(chain.c.id.desc()).limit(1)).scalar() or ""
    links = []
    for number in sorted(appended):
        before = next_link(before, appended[number])
        links.append({"id": number, "link": before})
    if links:
        connection.execute(insert(chain), links)


def open_event(connection: Connection, what: str, note: Note, undoes: int | None = None) -> int:
    """Write down that a command is carried out; return its number.

    Raises
    ------
    InputError
        When whoever carries it out may not.
    """
    check_may(CoreSnapshot(connection), note.who, what)
    number = next_id(connection, event)
    at = datetime.now(UTC).strftime("%Y-%m-%dT%H:%M:%SZ")
    row = {"id": number, "at": at, "what": what, "who": note.who, "why": note.why, "undoes": undoes}
    insert_sealed(connection, event, [row])
    return number


class Movement(Struct, frozen=True):
    """So many pieces of one part, and what happened to them.

    `purchase` is the order's number, 0 for none; `branch` is where they lie or lay, empty for the shop's main branch,
    and `bin` in which bin there, empty for the one that the stock list names.
    """

    part: str
    act: Act
    quantity: int
    engine: str = ""
    purchase: int = 0
    branch: str = ""
    bin: str = ""


def move(connection: Connection, event_id: int, movements: list[Movement]) -> None:
    """Add movements of one event; what they take from a bin that has less comes from the others of its branch."""
    append(connection, movement, event_id, [{**asdict(each), "act": each.act.value} for each in movements])
    parts = {each.part for each in movements if EFFECTS[each.act].on_hand}
    for (part, branch), bins in read_bin_sums(CoreSnapshot(connection), parts).items():
        rows = [
            {"part": part, "act": Act.MOVED.value, "quantity": pieces, "engine": "", "purchase": 0, "branch": branch}
            | {"bin": name}
            for name, pieces in made_up(bins)
        ]
        append(connection, movement, event_id, rows)


class CoreSnapshot(Struct, frozen=True):
    """The rows that a connection sees, as a `snapshot.Snapshot`."""

    connection: Connection

    @property
    def is_file(self) -> bool:
        """They lie in a file of SQLite, not in a server."""
        return self.connection.dialect.name == "sqlite"

    def columns(self, table: str) -> Sequence[str]:
        """Return the names of a table's columns."""
        return list(metadata.tables[table].columns.keys())

    def rows(self, sentence: str, values: Mapping[str, Any], /) -> Iterable[Sequence[Any]]:
        """Return the rows of a sentence."""
        return self.connection.execute(text(sentence), dict(values)).all()
