"""Pieces measured when they came: what fit goes by, as far as the ledger can know which pieces lie there."""

from __future__ import annotations

import math
from collections.abc import Callable

import pytest
from msgspec.structs import replace

from stackopt.parts.lots import Batch, with_lots
from stackopt.parts.own import listed_deviation_mm
from stackopt.problems import InputError
from stackopt.shop.ledger import Ledger
from tests.shop.situations import ANA, BEN, HEAD, SHOP, STOCK, THIN, THIN_OFFER, chosen_for, from_shelf, twin

READINGS = {"BG-040": [0.43, 0.44]}
MEASURED = with_lots(THIN, [Batch(4, (0.43, 0.44))])


@pytest.fixture
def empty(ledger: Ledger) -> Ledger:
    """No thin gasket on the shelf, and nobody who offers one: what comes is all there is."""
    stock = STOCK | {"BG-040": replace(STOCK["BG-040"], on_hand=0)}
    ledger.load(replace(SHOP, stock=stock, offers=(), kits={}), ANA, [twin("J-104"), twin("J-105")])
    return ledger


def thin(ledger: Ledger, *asking: str) -> object:
    return ledger.supply({"A"}, asking).parts["BG-040"]


def last(ledger: Ledger) -> int:
    return ledger.events(1)[0].number


def test_a_part_goes_by_its_delivery_where_the_shelf_was_empty(empty: Ledger) -> None:
    empty.bring_in({"BG-040": 4}, BEN, readings_mm=READINGS)
    assert thin(empty) == MEASURED
    assert empty.supply(as_listed=True).parts["BG-040"] == THIN
    request, choice = chosen_for(empty.supply({"A"}, ["J-104"]), twin("J-104"))
    assert math.isclose(choice.engines[0].cylinders[0].quench_mm, 0.435 + 0.50)
    empty.hold(request, choice, ANA)
    assert empty.build("J-104").chosen.parts == (MEASURED, HEAD)


@pytest.mark.parametrize(
    "act",
    [
        lambda ledger: ledger.count({"BG-040": 5}, ANA),
        lambda ledger: ledger.bring_in({"BG-040": 1}, ANA),
        lambda ledger: ledger.correct("BG-040", 1, BEN),
    ],
)
def test_a_piece_that_nobody_measured_may_be_taken_too(empty: Ledger, act: Callable[[Ledger], object]) -> None:
    empty.bring_in({"BG-040": 4}, BEN, readings_mm=READINGS)
    act(empty)
    assert thin(empty) == with_lots(THIN, [Batch(4, (0.43, 0.44)), Batch(1)])


def test_a_shelf_that_was_empty_since_holds_nothing_of_an_earlier_delivery(empty: Ledger) -> None:
    empty.bring_in({"BG-040": 4}, BEN, readings_mm=READINGS)
    empty.scrap({"BG-040": 4}, BEN)
    assert thin(empty) == THIN
    empty.bring_in({"BG-040": 2}, BEN, readings_mm={"BG-040": [0.40]})
    assert thin(empty) == with_lots(THIN, [Batch(2, (0.40,))])


def test_a_delivery_that_is_taken_back_was_none(empty: Ledger) -> None:
    empty.bring_in({"BG-040": 2}, BEN)
    empty.bring_in({"BG-040": 4}, BEN, readings_mm=READINGS)
    received = last(empty)
    empty.undo(received, BEN)
    assert thin(empty) == THIN
    empty.undo(last(empty), BEN)
    assert thin(empty) == with_lots(THIN, [Batch(2), Batch(4, (0.43, 0.44))])


def test_what_may_be_ordered_counts_as_listed_only_where_too_few_are_free(empty: Ledger) -> None:
    """Two cylinders need two pieces, which lie there; four need two more, which would be ordered as listed."""
    empty.bring_in({"BG-040": 2}, BEN, readings_mm=READINGS)
    empty.load(replace(SHOP, parts={"BG-040": THIN}, stock={}, offers=(THIN_OFFER,), kits={}), ANA)
    assert thin(empty, "J-104") == with_lots(THIN, [Batch(2, (0.43, 0.44))])
    assert thin(empty, "J-104", "J-105") == with_lots(THIN, [Batch(2, (0.43, 0.44))], others=2)
    assert thin(empty) == with_lots(THIN, [Batch(2, (0.43, 0.44))], others=2)


def test_more_pieces_measured_than_came_are_refused(empty: Ledger) -> None:
    with pytest.raises(InputError, match="BG-040: found '2 pieces measured', expected the 1 that came"):
        empty.bring_in({"BG-040": 1}, BEN, readings_mm=READINGS)
    with pytest.raises(InputError, match="HG-050: found '1 pieces measured', expected the 0 that came"):
        empty.bring_in({"BG-040": 1}, BEN, readings_mm={"HG-050": [0.5]})
    assert empty.balances().get("BG-040") is None


def test_learning_goes_by_what_the_delivery_measured(empty: Ledger) -> None:
    """0.935 measured on 0.435 as delivered: nothing is left for the head gasket, and nothing is learned of the base."""
    empty.bring_in({"BG-040": 4}, BEN, readings_mm=READINGS)
    empty.hold(*from_shelf("J-104"), ANA)
    empty.use("J-104", BEN)
    empty.measure("J-104", "front", [0.935], BEN)
    own = empty.own_thicknesses()
    assert own.keys() == {"HG-050"}
    assert math.isclose(own["HG-050"].own_mm, 0.50)
    assert own["HG-050"].deviation_mm < listed_deviation_mm(HEAD)
    assert empty.build("J-104").chosen_by == "ana"
