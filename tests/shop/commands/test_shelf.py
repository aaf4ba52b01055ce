"""What happens at the shelf without an engine: counted, corrected, scrapped, brought in."""

from __future__ import annotations

import pytest
from msgspec.structs import replace

from stackopt.problems import InputError
from stackopt.shop.commands.losing import Loss
from stackopt.shop.commands.shelf import Counted
from stackopt.shop.database.acts import Balance
from stackopt.shop.entries.refusals import RefusedError
from stackopt.shop.ledger import Ledger
from tests.shop.situations import ANA, BEN, SHOP, TODAY, from_shelf, twin


@pytest.fixture
def stocked(ledger: Ledger) -> Ledger:
    ledger.load(SHOP, ANA)
    return ledger


def test_a_count_says_what_was_found_and_sets_the_shelf(stocked: Ledger) -> None:
    assert stocked.count({"BG-040": 1, "HG-050": 6}, BEN) == Counted({"BG-040": -1, "HG-050": 0})
    assert stocked.balances()["BG-040"] == Balance(on_hand=1)


def test_a_count_that_finds_what_was_expected_is_written_down(stocked: Ledger) -> None:
    stocked.count({"HG-050": 6}, BEN)
    assert [(entry.act, entry.quantity, entry.who) for entry in stocked.history("HG-050")][-1] == ("counted", 0, "ben")


def test_who_holds_pieces_that_a_count_does_not_find_loses_them(stocked: Ledger) -> None:
    """Two held, one found: one is lost, and the ledger tells it of the engine."""
    stocked.hold(*from_shelf("J-104"), ANA)
    assert stocked.count({"BG-040": 1}, BEN) == Counted({"BG-040": -1}, (Loss("J-104", "BG-040", 1),))
    assert stocked.balances()["BG-040"] == Balance(on_hand=1, held=1)
    assert [(each.act, each.quantity, each.who) for each in stocked.history("J-104")][-1] == ("released", 1, "ben")
    assert [line.state.value for line in stocked.board(TODAY)] == ["to plan"]


def test_the_least_urgent_engine_loses_first_and_the_stock_lists_own_reservation_before_it(stocked: Ledger) -> None:
    """Seven lie there, one of them reserved by the list; J-2 goes before J-1 though it is due later: by priority."""
    stocked.load(replace(SHOP, stock={"BG-040": replace(SHOP.stock["BG-040"], on_hand=7, reserved=1)}), ANA)
    stocked.bring_in({"HG-050": 2}, ANA)
    engines = (
        replace(twin("J-1"), due=TODAY),
        replace(twin("J-2"), due=TODAY.replace(day=9), priority=5),
        replace(twin("J-3"), due=TODAY.replace(day=8)),
    )
    request, choice = from_shelf("J-1", "J-2", "J-3")
    stocked.hold(replace(request, engines=engines), choice, ANA)
    lost = stocked.count({"BG-040": 1}, BEN).losses
    assert lost == (
        Loss("the stock list", "BG-040", 1),
        Loss("J-3", "BG-040", 2),
        Loss("J-1", "BG-040", 2),
        Loss("J-2", "BG-040", 1),
    )


def test_held_pieces_are_scrapped_or_corrected_away_only_where_that_is_said(stocked: Ledger) -> None:
    stocked.hold(*from_shelf("J-104"), ANA)
    for act in (lambda: stocked.scrap({"BG-040": 1}, BEN), lambda: stocked.correct("BG-040", -1, BEN)):
        with pytest.raises(RefusedError, match="2 held for J-104"):
            act()
    assert stocked.losses({"BG-040": 1}) == (Loss("J-104", "BG-040", 1),)
    stocked.scrap({"BG-040": 1}, BEN, held_too=True)
    stocked.correct("BG-040", -1, BEN, held_too=True)
    assert stocked.balances()["BG-040"] == Balance()


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
    assert stocked.bring_in({"KIT-A": 2}, BEN).free == {"BG-040": 4, "HG-050": 4}
    sums = stocked.balances()
    assert (sums["KIT-A"].on_hand, sums["BG-040"].on_hand, sums["HG-050"].on_hand) == (1, 2 + 2 * 2, 6 + 2 * 2)


@pytest.mark.parametrize("command", ["count", "correct", "scrap", "bring_in"])
def test_a_part_that_is_not_listed_is_refused(stocked: Ledger, command: str) -> None:
    act = getattr(stocked, command)
    with pytest.raises(InputError, match=r"found 'BG-999'.*a part number of the ledger"):
        act("BG-999", 1, BEN) if command == "correct" else act({"BG-999": 1}, BEN)
