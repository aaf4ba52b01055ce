"""What happens between shelf and engine: released, used, brought back."""

from __future__ import annotations

from datetime import UTC, datetime

import pytest

from stackopt.choose.choice_records import Use
from stackopt.parts.part_records import Usage
from stackopt.problems import InputError
from stackopt.shop.commands.fitting import Released
from stackopt.shop.database.acts import Balance
from stackopt.shop.ledger import Ledger
from tests.shop.situations import (
    ANA,
    BEN,
    HEAD,
    SHOP,
    THIN,
    THIN_OFFER,
    asked,
    choice_of,
    fitted,
    from_shelf,
    order_of,
    twin,
)


@pytest.fixture
def held(ledger: Ledger) -> Ledger:
    ledger.load(SHOP, ANA, [twin("J-104"), twin("J-105")])
    ledger.hold(*from_shelf("J-104"), ANA)
    return ledger


def test_released_pieces_are_free_again(held: Ledger) -> None:
    assert held.release("J-104", BEN) == Released({"BG-040": 2, "HG-050": 2}, {})
    assert held.balances()["BG-040"] == Balance(on_hand=2)


def test_used_pieces_leave_the_shelf_and_are_in_the_engine(held: Ledger) -> None:
    assert held.use("J-104", BEN) == {"BG-040": 2, "HG-050": 2}
    assert held.balances()["BG-040"] == Balance(fitted=2)


@pytest.mark.parametrize("command", ["use", "release"])
def test_an_engine_that_holds_nothing_has_nothing_to_use_or_release(held: Ledger, command: str) -> None:
    with pytest.raises(InputError, match="J-105: found 'nothing held"):
        getattr(held, command)("J-105", BEN)


def test_a_used_piece_may_come_back_and_no_more_than_was_used(held: Ledger) -> None:
    held.use("J-104", BEN)
    held.bring_back("J-104", {"HG-050": 1}, BEN)
    assert held.balances()["HG-050"] == Balance(on_hand=5, fitted=1)
    with pytest.raises(InputError, match=r"J-104: found '2 of HG-050', expected the 1 that went into it"):
        held.bring_back("J-104", {"HG-050": 2}, BEN)


def test_an_engine_may_use_what_it_holds_while_it_waits_for_the_rest(ledger: Ledger) -> None:
    ledger.load(SHOP, ANA)
    use = (Use("BG-040", "Quillhaven", 2), Use("HG-050", "shelf", 2))
    choice = choice_of(fitted("J-104", THIN, HEAD), use=use, orders=(order_of(THIN_OFFER, 1),))
    ledger.hold(asked(twin("J-104")), choice, ANA)
    assert ledger.use("J-104", BEN) == {"HG-050": 2}
    assert ledger.balances()["BG-040"].promised == 2


def test_releasing_gives_up_what_is_on_order_too(ledger: Ledger) -> None:
    ledger.load(SHOP, ANA)
    use = (Use("BG-040", "Quillhaven", 2), Use("HG-050", "shelf", 2))
    choice = choice_of(fitted("J-104", THIN, HEAD), use=use, orders=(order_of(THIN_OFFER, 1),))
    ledger.hold(asked(twin("J-104")), choice, ANA)
    ledger.send(1, ANA)
    assert ledger.release("J-104", BEN) == Released({"HG-050": 2}, {"BG-040": 2})
    ledger.receive(1, BEN)
    assert ledger.balances()["BG-040"] == Balance(on_hand=4)


def test_only_engines_that_hold_wait_for_and_have_been_given_nothing_are_still_to_be_planned(held: Ledger) -> None:
    assert held.engines() == (twin("J-105"),)
    held.use("J-104", BEN)
    assert held.engines() == (twin("J-105"),)
    held.bring_back("J-104", {"BG-040": 2, "HG-050": 2}, BEN)
    assert held.engines() == (twin("J-104"), twin("J-105"))


def test_an_engine_that_was_never_loaded_is_refused_with_those_that_were(held: Ledger) -> None:
    with pytest.raises(InputError, match=r"found 'J-9'.*J-104, J-105"):
        held.engine("J-9")


def test_what_left_for_engines_is_a_record_of_usage(held: Ledger) -> None:
    """Two of each left at once for J-104; what comes back the same day was not used."""
    assert held.usage() == ()
    held.use("J-104", ANA)
    today = datetime.now(UTC).date()
    assert held.usage() == (Usage("BG-040", today, 2), Usage("HG-050", today, 2))
    held.bring_back("J-104", {"BG-040": 1, "HG-050": 2}, ANA)
    assert held.usage() == (Usage("BG-040", today, 1),)
