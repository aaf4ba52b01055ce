"""What happens at the shelf without an engine: counted, corrected, scrapped, brought in."""

from __future__ import annotations

import pytest

from stackopt.problems import InputError
from stackopt.shop.database.acts import Balance
from stackopt.shop.entries.refusals import RefusedError
from stackopt.shop.ledger import Ledger
from tests.shop.situations import ANA, BEN, SHOP, from_shelf


@pytest.fixture
def stocked(ledger: Ledger) -> Ledger:
    ledger.load(SHOP, ANA)
    return ledger


def test_a_count_says_what_was_found_and_sets_the_shelf(stocked: Ledger) -> None:
    assert stocked.count({"BG-040": 1, "HG-050": 6}, BEN) == {"BG-040": -1, "HG-050": 0}
    assert stocked.balances()["BG-040"] == Balance(on_hand=1)


def test_a_count_that_finds_what_was_expected_is_written_down(stocked: Ledger) -> None:
    stocked.count({"HG-050": 6}, BEN)
    assert [(entry.act, entry.quantity, entry.who) for entry in stocked.history("HG-050")][-1] == ("counted", 0, "ben")


def test_a_count_below_what_is_held_is_refused(stocked: Ledger) -> None:
    stocked.hold(*from_shelf("J-104"), ANA)
    with pytest.raises(RefusedError, match="2 held for J-104"):
        stocked.count({"BG-040": 1}, BEN)


def test_a_correction_adds_and_takes(stocked: Ledger) -> None:
    stocked.correct("BG-040", 3, BEN)
    stocked.correct("BG-040", -4, BEN)
    assert stocked.balances()["BG-040"] == Balance(on_hand=1)


def test_only_free_pieces_are_scrapped(stocked: Ledger) -> None:
    stocked.scrap({"BG-040": 2}, BEN)
    assert stocked.balances()["BG-040"] == Balance()
    with pytest.raises(RefusedError, match=r"2 scrapped by ben.*1 more free"):
        stocked.scrap({"BG-040": 1}, ANA)


def test_a_kit_that_comes_without_an_order_is_its_parts(stocked: Ledger) -> None:
    assert stocked.bring_in({"KIT-A": 2}, BEN) == {"BG-040": 4, "HG-050": 4}
    sums = stocked.balances()
    assert (sums["KIT-A"].on_hand, sums["BG-040"].on_hand, sums["HG-050"].on_hand) == (1, 2 + 2 * 2, 6 + 2 * 2)


@pytest.mark.parametrize("command", ["count", "correct", "scrap", "bring_in"])
def test_a_part_that_is_not_listed_is_refused(stocked: Ledger, command: str) -> None:
    act = getattr(stocked, command)
    with pytest.raises(InputError, match=r"found 'BG-999'.*a part number of the ledger"):
        act("BG-999", 1, BEN) if command == "correct" else act({"BG-999": 1}, BEN)
