"""Who may do what: known names and their rights, held by the ledger itself; off until a name is known."""

from __future__ import annotations

from collections.abc import Callable

import pytest
from msgspec.structs import replace

from stackopt.problems import InputError
from stackopt.shop.database.note import Note
from stackopt.shop.database.rights import RIGHT_OF, Person, Right
from stackopt.shop.ledger import Ledger
from tests.shop.situations import ANA, BEN, SHOP, THICK, THIN_OFFER, from_shelf, order_of

CEM = Note("cem")
EVERYTHING = frozenset(Right)
OTHERWISE = replace(SHOP, parts=SHOP.parts | {"BG-050": replace(THICK, thickness_mm=0.51)})
ACTS: dict[str, tuple[Right, Callable[[Ledger, Note], object]]] = {
    "hold": (Right.TAKE, lambda ledger, note: ledger.hold_all(*from_shelf("J-104"), note)),
    "receive": (Right.TAKE, lambda ledger, note: ledger.bring_in({"BG-040": 1}, note)),
    "draft": (Right.ORDER, lambda ledger, note: ledger.draft([order_of(THIN_OFFER, 1)], note)),
    "undo count": (Right.UNDO, lambda ledger, note: ledger.undo(2, note)),
    "count": (Right.SETTLE, lambda ledger, note: ledger.count({"BG-040": 2}, note)),
    "load": (
        Right.SETTLE,
        lambda ledger, note: ledger.load(
            replace(SHOP, parts=SHOP.parts | {"BG-050": replace(THICK, thickness_mm=0.51)}), note
        ),
    ),
    "who": (Right.SETTLE, lambda ledger, note: ledger.allow(Person("dea"), note)),
}


@pytest.fixture
def stocked(ledger: Ledger) -> Ledger:
    ledger.load(SHOP, ANA)
    ledger.count({"BG-040": 2}, BEN)
    return ledger


def test_a_shop_of_one_asks_nobody(stocked: Ledger) -> None:
    assert stocked.people() == ()
    stocked.count({"BG-040": 1}, CEM)
    assert stocked.events(1)[0].who == "cem"


@pytest.mark.parametrize("what", ACTS)
def test_each_may_do_what_he_may_and_nothing_else(stocked: Ledger, what: str) -> None:
    right, act = ACTS[what]
    stocked.allow(Person("ana", EVERYTHING), ANA)
    stocked.allow(Person("ben", EVERYTHING - {right}), ANA)
    events = len(stocked.events(99))
    with pytest.raises(InputError, match=rf"ben: found '{what}', expected somebody who may {right}.*Ask ana"):
        act(stocked, BEN)
    with pytest.raises(InputError, match=rf"cem: found '{what}', expected somebody whom the shop knows.*ana, ben"):
        act(stocked, CEM)
    assert len(stocked.events(99)) == events
    act(stocked, ANA)


def test_one_takes_back_only_what_one_may_do_oneself(stocked: Ledger) -> None:
    stocked.allow(Person("ana", EVERYTHING), ANA)
    stocked.allow(Person("ben", frozenset({Right.UNDO})), ANA)
    with pytest.raises(InputError, match="found 'undo count', expected somebody who may settle"):
        stocked.undo(2, BEN)


def test_somebody_must_be_left_who_may_settle(stocked: Ledger) -> None:
    with pytest.raises(InputError, match="found 'ben', expected at least one who may settle"):
        stocked.allow(Person("ben", frozenset({Right.TAKE})), ANA)
    stocked.allow(Person("ana", EVERYTHING), ANA)
    first = stocked.events(1)[0].number
    stocked.allow(Person("ben"), ANA)
    for act in (lambda: stocked.forget("ana", ANA), lambda: stocked.allow(Person("ana"), ANA)):
        with pytest.raises(InputError, match="at least one who may settle"):
            act()
    with pytest.raises(InputError, match="at least one who may settle"):
        stocked.undo(first, ANA)
    stocked.forget("ben", ANA)
    stocked.forget("ana", ANA)
    assert stocked.people() == ()
    stocked.count({"BG-040": 2}, CEM)


def test_what_somebody_may_is_said_in_words() -> None:
    assert Person("ana", EVERYTHING).words == "look, take, order, undo and settle"
    assert Person("ben").words == "look"
    assert set(RIGHT_OF.values()) == {Right.TAKE, Right.ORDER}
