"""What the builder took counts, whatever was chosen: the shelf, the promises and the learning go by it."""

from __future__ import annotations

import pytest
from msgspec.structs import replace

from stackopt.choose.tried.hand import pieces_in_hand
from stackopt.choose.tried.taken import as_taken, parts_taken, tried_in_hand
from stackopt.problems import InputError
from stackopt.shop.database.acts import Balance
from stackopt.shop.entries.refusals import RefusedError
from stackopt.shop.ledger import Ledger
from tests.shop.situations import ANA, BEN, SHOP, from_shelf, twin


@pytest.fixture
def held(ledger: Ledger) -> Ledger:
    ledger.load(SHOP, ANA, [twin("J-104"), twin("J-105")])
    ledger.bring_in({"BG-050": 2}, ANA)
    ledger.hold(*from_shelf("J-104"), ANA)
    return ledger


def take(ledger: Ledger, *named: str) -> dict[str, int]:
    chosen, supply = ledger.build("J-104").chosen, ledger.supply()
    hand = pieces_in_hand(chosen.engine, supply, named)
    tried = tried_in_hand(chosen, supply, hand)
    taken = replace(chosen, fitted=as_taken(chosen.fitted, tried), parts=parts_taken(chosen, tried))
    return ledger.use_taken(taken, frozenset(hand), BEN)


def test_what_was_taken_leaves_the_shelf_and_what_was_chosen_in_its_place_is_free_again(held: Ledger) -> None:
    assert take(held, "front=BG-050+HG-050") == {"BG-040": 1, "BG-050": 1, "HG-050": 2}
    assert held.balances()["BG-040"] == Balance(on_hand=1, fitted=1)
    assert held.balances()["BG-050"] == Balance(on_hand=1, fitted=1)


def test_an_earlier_use_is_mended_by_what_was_really_taken(held: Ledger) -> None:
    held.use("J-104", ANA)
    assert take(held, "rear=BG-050+HG-050") == {"BG-050": 1}
    assert held.balances()["BG-040"] == Balance(on_hand=1, fitted=1)


def test_a_piece_that_is_not_there_is_refused_and_nothing_moves(held: Ledger) -> None:
    held.scrap({"BG-050": 1}, ANA)
    before = held.balances()
    with pytest.raises(RefusedError, match="BG-050"):
        take(held, "front=BG-050+HG-050", "rear=BG-050+HG-050")
    assert held.balances() == before


def test_a_plain_thickness_comes_from_no_shelf(held: Ledger) -> None:
    """What was taken by its thickness leaves the sum of every part as it was; the head gasket leaves its own."""
    before = held.balances()
    take(held, "front=0.45 mm+HG-050")
    after = held.balances()
    assert {part for part in after if after[part].on_hand != before[part].on_hand} <= {"HG-050", "BG-040", "HG-040"}
    # 0.45 mm and HG-050 0.50 mm at deck 0: 0.95 mm.
    assert held.build("J-104").chosen.fitted.cylinders[0].quench_mm == pytest.approx(0.95)


def test_learning_goes_by_what_was_taken(held: Ledger) -> None:
    take(held, "front=BG-050+HG-050")
    # BG-050 0.50 mm and HG-050 0.50 mm at deck 0: 1.00 mm.
    assert held.build("J-104").chosen.fitted.cylinders[0].quench_mm == pytest.approx(1.00)
    held.measure("J-104", "front", [1.01], BEN)
    assert "BG-050" in held.own_thicknesses()
    assert "BG-040" not in held.own_thicknesses()


def test_nothing_is_learned_from_an_engine_that_got_nothing(held: Ledger) -> None:
    with pytest.raises(InputError, match="nothing used in it"):
        held.measure("J-104", "front", [0.9], BEN)
