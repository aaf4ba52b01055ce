"""A ledger that the benchmark grows: of the size asked for, whole, and telling of today what it told before."""

from __future__ import annotations

from pathlib import Path

from click.testing import CliRunner

from stackopt.shop.ledger import open_ledger
from tests.benchmarks.ledger import main
from tests.shop.situations import ANA, SHOP, TODAY, from_shelf, twin


def test_a_grown_ledger_is_whole_and_leaves_shelf_board_and_open_orders_as_they_were(
    sqlite_address: str, tmp_path: Path
) -> None:
    small = open_ledger(sqlite_address)
    small.load(SHOP, ANA, [twin("J-104")])
    small.hold(*from_shelf("J-104"), ANA)
    big = tmp_path / "big.db"
    told = CliRunner().invoke(
        main, ["--make", str(big), "--from", sqlite_address, "--movements", "700", "--finished-orders", "20"]
    )
    assert told.exit_code == 0, told.output
    grown = open_ledger(str(big))
    assert grown.verify().damage == ()
    assert sum(len(grown.history(part)) for part in SHOP.parts) == 700
    assert len(grown.orders()) == 20
    assert grown.orders(every=False) == ()
    assert grown.supply(today=TODAY) == small.supply(today=TODAY)
    assert grown.board(TODAY)[0] == small.board(TODAY)[0]
    assert grown.own_thicknesses()["BG-040"].measurements > 0


def test_what_cannot_be_grown_leaves_no_file(sqlite_address: str, tmp_path: Path) -> None:
    open_ledger(sqlite_address).load(SHOP, ANA)
    big = tmp_path / "big.db"
    told = CliRunner().invoke(
        main, ["--make", str(big), "--from", sqlite_address, "--movements", "10", "--finished-orders", "20"]
    )
    assert told.exit_code == 2
    assert "finished orders need" in told.output
    assert not big.exists()
