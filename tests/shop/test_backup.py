"""A backup is a ledger of its own, read back before it is called one."""

from __future__ import annotations

import errno
from pathlib import Path

import pytest
from sqlalchemy import Connection

from stackopt.problems import InputError
from stackopt.shop import backup
from stackopt.shop.ledger import Ledger, open_ledger
from tests.shop.conftest import create_database
from tests.shop.situations import ANA, SHOP, from_shelf, twin


@pytest.fixture
def busy(ledger: Ledger) -> Ledger:
    ledger.load(SHOP, ANA, [twin("J-104")])
    ledger.hold(*from_shelf("J-104"), ANA)
    ledger.use("J-104", ANA)
    ledger.measure("J-104", "front", (0.91, 0.90), ANA)
    ledger.close("J-104", ANA)
    return ledger


def everything(ledger: Ledger) -> object:
    return ledger.supply(), ledger.balances(), ledger.events(99), ledger.history("J-104"), ledger.build("J-104")


def test_a_backup_of_either_database_is_a_file_that_opens_as_a_ledger(busy: Ledger, tmp_path: Path) -> None:
    rows = busy.back_up(tmp_path / "backup.db")
    assert rows > 20
    assert everything(open_ledger(str(tmp_path / "backup.db"))) == everything(busy)
    assert [path.name for path in tmp_path.iterdir() if path.name.startswith("backup")] == ["backup.db"]


def test_a_place_where_nothing_can_be_written_is_named(
    busy: Ledger, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Of a folder that may only be read even removing what is not there is refused."""

    def refused(_path: Path, missing_ok: bool = False) -> None:
        raise OSError(errno.EROFS, "Read-only file system")

    monkeypatch.setattr(Path, "unlink", refused)
    with pytest.raises(InputError, match=r"b\.db: found 'Read-only file system', expected a place that can be written"):
        busy.back_up(tmp_path / "b.db")


def test_a_backup_replaces_nothing(busy: Ledger, tmp_path: Path) -> None:
    (tmp_path / "backup.db").write_text("dear")
    with pytest.raises(InputError, match=r"backup.db: found 'a file', expected nothing there yet"):
        busy.back_up(tmp_path / "backup.db")
    assert (tmp_path / "backup.db").read_text() == "dear"


def test_a_copy_that_does_not_read_back_is_no_backup(
    busy: Ledger, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A row is added to the copy before it is read back, in place of a disk that wrote something else."""
    copy_out = backup._copy_into_file

    def copy_and_spoil(connection: Connection, file: Path) -> None:
        copy_out(connection, file)
        open_ledger(str(file)).scrap({"HG-050": 1}, ANA)

    monkeypatch.setattr(backup, "_copy_into_file", copy_and_spoil)
    with pytest.raises(InputError, match="found 'other rows than were written', expected a copy that reads back whole"):
        busy.back_up(tmp_path / "backup.db")
    assert not list(tmp_path.glob("backup*"))


def test_what_is_stored_while_the_copy_is_taken_is_not_in_it(
    postgresql_address: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A server goes on storing; the copy is of the moment at which it began."""
    ledger = open_ledger(postgresql_address)
    ledger.load(SHOP, ANA)
    copy_out = backup._copy_into_file

    def store_and_copy(connection: Connection, file: Path) -> None:
        ledger.scrap({"HG-050": 1}, ANA)
        copy_out(connection, file)

    monkeypatch.setattr(backup, "_copy_into_file", store_and_copy)
    ledger.back_up(tmp_path / "backup.db")
    assert open_ledger(str(tmp_path / "backup.db")).supply() == SHOP
    assert ledger.supply() != SHOP


def test_nobody_stores_in_a_file_while_it_is_copied(
    sqlite_address: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    ledger = open_ledger(sqlite_address)
    ledger.load(SHOP, ANA)
    copy_out = backup._copy_into_file

    def copy_and_try(connection: Connection, file: Path) -> None:
        copy_out(connection, file)
        with pytest.raises(InputError, match="nobody keeps locked"):
            open_ledger(sqlite_address, patience_seconds=0.1).scrap({"HG-050": 1}, ANA)

    monkeypatch.setattr(backup, "_copy_into_file", copy_and_try)
    ledger.back_up(tmp_path / "backup.db")
    assert open_ledger(str(tmp_path / "backup.db")).supply() == SHOP


def test_a_place_that_cannot_be_written_is_named(busy: Ledger, tmp_path: Path) -> None:
    with pytest.raises(InputError, match="nowhere"):
        busy.back_up(tmp_path / "nowhere" / "backup.db")


def test_a_backup_goes_on_where_the_shop_went_on_meanwhile(busy: Ledger, tmp_path: Path) -> None:
    busy.back_up(tmp_path / "backup.db")
    busy.scrap({"HG-050": 1}, ANA)
    copy = open_ledger(str(tmp_path / "backup.db"))
    copy.scrap({"HG-050": 1}, ANA)
    assert copy.balances() == busy.balances()


def test_a_backup_is_restored_to_a_new_file_and_to_a_server(busy: Ledger, tmp_path: Path, postgresql: str) -> None:
    busy.back_up(tmp_path / "backup.db")
    copy = open_ledger(str(tmp_path / "backup.db"))
    database = "restored" if "postgresql" in busy.shown else "restored_from_file"
    for address in (str(tmp_path / "restored.db"), create_database(postgresql, database)):
        copy.restored_to(address)
        assert everything(open_ledger(address)) == everything(busy)
        open_ledger(address).scrap({"HG-050": 1}, ANA)


def test_a_ledger_in_use_is_not_restored_over(busy: Ledger, tmp_path: Path, address: str) -> None:
    busy.back_up(tmp_path / "backup.db")
    with pytest.raises(InputError, match="found 'a ledger in use', expected no ledger yet"):
        open_ledger(str(tmp_path / "backup.db")).restored_to(address)
