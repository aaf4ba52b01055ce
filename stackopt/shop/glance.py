"""What `fit` reads of a ledger in a file, without SQLAlchemy: its import alone would take longer than the answer."""

from __future__ import annotations

import sqlite3
from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from contextlib import closing, contextmanager
from datetime import date
from pathlib import Path
from typing import Any

from msgspec import Struct

from stackopt.engine.engine_records import Engine
from stackopt.parts.part_records import Supply
from stackopt.shop.database.faults import fault_of
from stackopt.shop.database.rights import Person, read_people
from stackopt.shop.database.sqlite_file import PATIENCE_SECONDS, open_file
from stackopt.shop.database.version import REVISION
from stackopt.shop.standing.engine_list import built_at, engine_called
from stackopt.shop.standing.supplying import read_supply


class FileSnapshot(Struct, frozen=True):
    """The rows of a file at one moment."""

    connection: sqlite3.Connection
    is_file: bool = True

    def columns(self, table: str) -> Sequence[str]:
        """Return the names of a table's columns; SQLite takes no notice of their case, so neither does a reader."""
        return [name.lower() for _, name, *_ in self.connection.execute(f"PRAGMA table_info({table})")]

    def rows(self, sentence: str, values: Mapping[str, Any], /) -> Iterable[Sequence[Any]]:
        """Return the rows of a sentence."""
        return self.connection.execute(sentence, values).fetchall()


class Glance(Struct, frozen=True):
    """A ledger in a file, to be read only; its methods do what those of `ledger.Ledger` do, and raise the same."""

    path: Path

    def engine(self, name: str) -> Engine:
        """Return one engine as it was loaded."""
        with self._snapshot() as snapshot:
            return engine_called(snapshot, name)

    def built_at(self, name: str) -> str:
        """Return the branch where an engine is built, empty for the main one."""
        with self._snapshot() as snapshot:
            return built_at(snapshot, name)

    def supply(
        self,
        families: Collection[str] | None = None,
        asking: Collection[str] = (),
        *,
        today: date | None = None,
        at: str | None = None,
    ) -> Supply:
        """Return parts, shelf, offers, suppliers, kits and services, as `supplying.read_supply`."""
        with self._snapshot() as snapshot:
            return read_supply(snapshot, families, asking, today=today, at=at)

    def people(self) -> tuple[Person, ...]:
        """Return whom the shop knows; nobody where everybody may do everything."""
        with self._snapshot() as snapshot:
            return read_people(snapshot)

    @contextmanager
    def _snapshot(self) -> Iterator[FileSnapshot]:
        try:
            with closing(open_file(self.path, PATIENCE_SECONDS)) as connection:
                connection.execute("BEGIN")
                yield FileSnapshot(connection)
        except (sqlite3.Error, OverflowError, UnicodeError) as error:
            raise fault_of(str(self.path), error, reading=True) from error


def glance_at(written: str) -> Glance | None:
    """Return a glance at a ledger of this version in a file; None where more than a glance is needed to tell."""
    path = Path(written)
    if "://" in written or not path.is_file():
        return None
    try:
        with closing(open_file(path, PATIENCE_SECONDS)) as connection:
            connection.execute("SELECT id FROM movement LIMIT 1")
            (revision,) = connection.execute("SELECT version_num FROM alembic_version").fetchone()
    except sqlite3.Error:
        return None  # opening it in earnest says what is wrong
    return Glance(path) if revision == REVISION else None
