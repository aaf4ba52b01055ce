"""Holding: all pieces or none, never more than is free, and a refusal names who has them."""

from __future__ import annotations

from datetime import date

import pytest
from msgspec.structs import replace

from stackopt.choose.choice_records import ON_ORDER, Request, Use
from stackopt.engine.engine_records import Cylinder, Engine
from stackopt.parts.part_records import Kind, Part, StockLine, Supply
from stackopt.problems import InputError
from stackopt.shop.commands.holding import Held
from stackopt.shop.database.acts import Balance
from stackopt.shop.entries.refusals import Refusal
from stackopt.shop.ledger import Ledger
from tests.shop.situations import (
    ANA,
    BEN,
    HEAD,
    SET_OFFER,
    SHOP,
    THIN,
    THIN_OFFER,
    TODAY,
    asked,
    choice_of,
    chosen_for,
    fitted,
    from_shelf,
    order_of,
    twin,
)


@pytest.fixture
def stocked(ledger: Ledger) -> Ledger:
    ledger.load(SHOP, ANA)
    return ledger


def held(outcome: Held | Refusal) -> Held:
    assert isinstance(outcome, Held), str(outcome)
    return outcome


def refused(outcome: Held | Refusal) -> Refusal:
    assert isinstance(outcome, Refusal)
    return outcome


def test_holding_makes_the_pieces_unfree_and_leaves_them_on_the_shelf(stocked: Ledger) -> None:
    held(stocked.hold(*from_shelf("J-104"), ANA))
    assert stocked.balances()["BG-040"] == Balance(on_hand=2, held=2)
    assert stocked.supply().free("BG-040") == 0
    assert stocked.supply().free("HG-050") == 4


def test_a_refusal_names_who_has_the_pieces_and_stores_nothing(stocked: Ledger) -> None:
    held(stocked.hold(*from_shelf("J-104"), ANA))
    before = stocked.balances(), stocked.events(9)
    refusal = refused(stocked.hold(*from_shelf("J-105"), BEN))
    (shortage,) = refusal.shortages
    (taker,) = shortage.takers
    assert (shortage.part, shortage.short, shortage.on_hand) == ("BG-040", 2, 2)
    assert (taker.engine, taker.quantity, taker.who) == ("J-104", 2, "ana")
    assert "2 held for J-104 by ana" in str(refusal)
    assert (stocked.balances(), stocked.events(9)) == before


def test_a_refusal_names_who_used_the_last_piece(stocked: Ledger) -> None:
    stocked.hold(*from_shelf("J-104"), ANA)
    stocked.use("J-104", BEN)
    (shortage,) = refused(stocked.hold(*from_shelf("J-105"), BEN)).shortages
    assert [(taker.engine, taker.act, taker.who) for taker in shortage.takers] == [("J-104", "used", "ben")]


def test_of_two_engines_of_one_choice_none_is_held_when_one_cannot_be(stocked: Ledger) -> None:
    refused(stocked.hold(*from_shelf("J-104", "J-105"), ANA))
    assert {sums.held for sums in stocked.balances().values()} == {0}
    assert stocked.orders() == ()


def test_holding_again_gives_back_what_the_engine_held_before(stocked: Ledger) -> None:
    stocked.hold(*from_shelf("J-104"), ANA)
    held(stocked.hold(*from_shelf("J-104"), BEN))
    assert stocked.balances()["BG-040"] == Balance(on_hand=2, held=2)


def test_an_engine_that_is_planned_anew_sees_its_own_pieces_as_free(stocked: Ledger) -> None:
    stocked.hold(*from_shelf("J-104"), ANA)
    assert stocked.supply().free("BG-040") == 0
    assert stocked.supply(asking=("J-104",)).free("BG-040") == 2
    assert stocked.supply(asking=("J-105",)).free("BG-040") == 0


def test_the_answer_of_plan_can_be_held_as_it_is(stocked: Ledger) -> None:
    """Two thin gaskets lie free, two more come out of the set: both twins are served and nothing is bought."""
    request, choice = chosen_for(stocked.supply(), twin("J-104"), twin("J-105"))
    assert not choice.blocked
    held(stocked.hold(request, choice, ANA))
    assert stocked.balances()["BG-040"] == Balance(on_hand=4, held=4)
    assert stocked.balances()["KIT-A"] == Balance()
    assert stocked.balances()["HG-050"] == Balance(on_hand=8, held=4)


def test_pieces_on_order_are_promised_to_the_engine_that_can_wait(stocked: Ledger) -> None:
    """J-105 is due first and gets the shelf's two; J-104 waits for the pack of two."""
    request = asked(twin("J-104", date(2027, 3, 1)), twin("J-105", date(2027, 1, 5)))
    use = (Use("BG-040", "shelf", 2), Use("BG-040", "Quillhaven", 2), Use("HG-050", "shelf", 4))
    choice = choice_of(
        fitted("J-104", THIN, HEAD), fitted("J-105", THIN, HEAD), use=use, orders=(order_of(THIN_OFFER, 1),)
    )
    (number,) = held(stocked.hold(request, choice, ANA)).orders
    (order,) = stocked.orders()
    assert (order.number, order.state) == (number, "draft")
    assert order.promised == {("J-104", "BG-040"): 2}
    assert order.total_cents == 640 + 900


def test_pieces_of_a_set_on_order_are_promised_by_their_own_numbers(stocked: Ledger) -> None:
    use = (Use("BG-040", "Quillhaven", 2), Use("HG-050", "shelf", 2))
    choice = choice_of(fitted("J-104", THIN, HEAD), use=use, orders=(order_of(SET_OFFER, 1),))
    held(stocked.hold(asked(twin("J-104")), choice, ANA))
    (order,) = stocked.orders()
    assert order.promised == {("J-104", "BG-040"): 2}


def test_an_engine_that_waits_for_an_order_gives_its_promise_up_when_it_is_held_anew(stocked: Ledger) -> None:
    use = (Use("BG-040", "Quillhaven", 2), Use("HG-050", "shelf", 2))
    choice = choice_of(fitted("J-104", THIN, HEAD), use=use, orders=(order_of(THIN_OFFER, 1),))
    held(stocked.hold(asked(twin("J-104")), choice, ANA))
    held(stocked.hold(*from_shelf("J-104"), BEN))
    assert stocked.orders()[0].promised == {}
    assert stocked.supply(today=TODAY).pieces_under_way == {"BG-040": 2}


def test_an_engine_attaches_to_pieces_that_are_on_order_already(stocked: Ledger) -> None:
    """Ordered for the shelf; the engine that is due first waits for what comes first."""
    later = replace(THIN_OFFER, lead_days=9)
    stocked.draft([order_of(later, 1), order_of(THIN_OFFER, 1)], BEN)
    use = (Use("BG-040", ON_ORDER, 4), Use("HG-050", "shelf", 4))
    engines = (twin("J-104", date(2027, 1, 20)), twin("J-105", date(2027, 1, 10)))
    held(stocked.hold(asked(*engines), choice_of(*(fitted(e.name, THIN, HEAD) for e in engines), use=use), ANA))
    assert [order.promised for order in stocked.orders()] == [{("J-104", "BG-040"): 2}, {("J-105", "BG-040"): 2}]
    assert stocked.supply(today=TODAY).pieces_under_way == {}
    more = choice_of(fitted("J-106", THIN, HEAD), use=(Use("BG-040", ON_ORDER, 2), Use("HG-050", "shelf", 2)))
    with pytest.raises(InputError, match="2 of BG-040 promised to somebody else or cancelled"):
        stocked.hold(asked(twin("J-106")), more, ANA)


def test_an_order_that_an_engine_attached_to_is_not_taken_back_under_it(stocked: Ledger) -> None:
    stocked.draft([order_of(THIN_OFFER, 1)], BEN)
    drafted = stocked.events(1)[0].number
    use = (Use("BG-040", ON_ORDER, 2), Use("HG-050", "shelf", 2))
    held(stocked.hold(asked(twin("J-104")), choice_of(fitted("J-104", THIN, HEAD), use=use), ANA))
    with pytest.raises(InputError, match="order 1: found '2 of BG-040 too few: J-104 would wait for them'"):
        stocked.undo(drafted, BEN)


def test_a_blocked_engine_gets_nothing(stocked: Ledger) -> None:
    request, choice = from_shelf("J-104")
    blocked = replace(choice.engines[0], engine="J-105", cylinders=(), reasons=("nothing fits",))
    held(stocked.hold(request, replace(choice, engines=(*choice.engines, blocked)), ANA))
    assert {entry.engine for entry in stocked.history("BG-040")} == {"", "J-104"}
    with pytest.raises(InputError, match="only blocked engines"):
        stocked.hold(request, replace(choice, engines=(blocked,)), ANA)


def test_a_part_that_the_ledger_does_not_list_is_refused_by_name(ledger: Ledger) -> None:
    with pytest.raises(InputError, match=r"BG-040, HG-050.*parts that are in the ledger"):
        ledger.hold(*from_shelf("J-104"), ANA)


def test_a_choice_whose_pieces_have_no_source_is_refused(stocked: Ledger) -> None:
    choice = choice_of(fitted("J-104", THIN, HEAD), use=(Use("HG-050", "shelf", 2),))
    with pytest.raises(InputError, match="2 of BG-040 from nowhere"):
        stocked.hold(asked(twin("J-104")), choice, ANA)


def test_a_shared_gasket_is_held_once_and_a_fitted_one_not_at_all(ledger: Ledger) -> None:
    """A one-piece base gasket lies under both cylinders; the head gaskets are on already."""
    shared = Part("BG-2", Kind.BASE_GASKET, frozenset({"A"}), 0.40, covers=2)
    stock = {"BG-2": StockLine("BG-2", 1), "HG-050": StockLine("HG-050", 2)}
    ledger.load(Supply({"BG-2": shared, "HG-050": HEAD}, stock), ANA)
    cylinders = tuple(Cylinder(side, 92.0, 78.0, 0.0) for side in ("front", "rear"))
    engine = Engine("J-104", "A", cylinders, pinned={"front": ("HG-050",), "rear": ("HG-050",)})
    choice = choice_of(fitted("J-104", shared, HEAD), use=(Use("BG-2", "shelf", 1),))
    held(ledger.hold(Request((engine,), TODAY), choice, ANA))
    assert ledger.balances()["BG-2"] == Balance(on_hand=1, held=1)
    assert ledger.balances()["HG-050"] == Balance(on_hand=2, held=0)
