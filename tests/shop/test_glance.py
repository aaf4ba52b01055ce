"""A glance at a file, without SQLAlchemy, tells what the ledger tells, and says the same of faults."""

from __future__ import annotations

import sqlite3
from pathlib import Path

import pytest
from msgspec.structs import replace

from stackopt.parts.part_records import Kind, Part
from stackopt.problems import InputError
from stackopt.shop.glance import Glance, glance_at
from stackopt.shop.ledger import Ledger, make_ledger, open_ledger
from tests.benchmarks.made_up_shops import made_up_shop
from tests.shop.situations import ANA, SHOP, from_shelf, twin


@pytest.fixture
def busy(sqlite_address: str) -> Ledger:
    ledger = open_ledger(sqlite_address)
    ledger.load(SHOP, ANA, [twin("J-104"), twin("J-105")])
    ledger.hold(*from_shelf("J-104"), ANA)
    ledger.use("J-104", ANA)
    ledger.measure("J-104", "front", (0.93,), ANA)
    ledger.adopt("HG-050", ANA)
    return ledger


def glance(address: str) -> Glance:
    found = glance_at(address)
    assert found is not None
    return found


@pytest.mark.parametrize("families", [None, {"A"}, {"B"}, {"A", "B"}])
@pytest.mark.parametrize("asking", [(), ("J-104",)])
def test_it_reads_what_the_ledger_reads(busy: Ledger, families: set[str] | None, asking: tuple[str, ...]) -> None:
    assert glance(busy.shown).supply(families, asking) == busy.supply(families, asking)
    assert glance(busy.shown).engine("J-105") == busy.engine("J-105")


def test_it_reads_a_whole_made_up_shop_alike(sqlite_address: str) -> None:
    request, supply = made_up_shop(60)
    ledger = open_ledger(sqlite_address)
    ledger.load(supply, ANA, request.engines)
    parts = {number: Part(number, Kind.KIT) for number in supply.kits} | supply.parts
    assert glance(sqlite_address).supply() == ledger.supply() == replace(supply, parts=parts)
    assert ledger.differences(supply, request.engines) == ()
    assert glance(sqlite_address).supply({"F002"}) == ledger.supply({"F002"})


def test_yes_and_no_are_read_as_such(busy: Ledger) -> None:
    """JSON tells true from 1."""
    (offer, _) = glance(busy.shown).supply().offers
    assert (offer.special_order is False, offer.discontinued is False) == (True, True)
    assert glance(busy.shown).supply().parts["BG-040"].estimated is False


def test_an_engine_that_is_not_there_is_refused_alike(busy: Ledger) -> None:
    with pytest.raises(InputError) as one:
        busy.engine("J-9")
    with pytest.raises(InputError) as other:
        glance(busy.shown).engine("J-9")
    assert one.value.problems == other.value.problems


def test_it_is_for_files_of_this_version_only(busy: Ledger, tmp_path: Path) -> None:
    assert glance_at("postgresql://127.0.0.1/shop") is None
    assert glance_at(str(tmp_path / "none.db")) is None
    (tmp_path / "note.db").write_text("not a ledger")
    assert glance_at(str(tmp_path / "note.db")) is None
    with sqlite3.connect(busy.shown) as connection:
        connection.execute("UPDATE alembic_version SET version_num = '0002'")
    connection.close()
    assert glance_at(busy.shown) is None


def test_a_fault_while_reading_is_told_as_the_ledger_tells_it(tmp_path: Path) -> None:
    path = tmp_path / "shop.db"
    make_ledger(str(path)).load(SHOP, ANA)
    found = glance(str(path))
    whole = path.read_bytes()
    path.write_bytes(whole[:4096] + b"\xa5" * (len(whole) - 4096))
    with pytest.raises(InputError, match=r"malformed.*a whole ledger.*stackopt shop backup"):
        found.supply()
