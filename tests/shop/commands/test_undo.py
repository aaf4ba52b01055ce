"""Taking a command back is a further command; nothing on record is removed."""

from __future__ import annotations

from collections.abc import Callable

import pytest
from msgspec.structs import replace

from stackopt.choose.choice_records import Use
from stackopt.parts.part_records import PriceTier
from stackopt.problems import InputError
from stackopt.shop.database.acts import Balance
from stackopt.shop.entries.refusals import RefusedError
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
def stocked(ledger: Ledger) -> Ledger:
    ledger.load(SHOP, ANA)
    return ledger


def last(ledger: Ledger) -> int:
    return ledger.events(1)[0].number


def test_undoing_a_hold_frees_the_pieces_and_both_stay_on_record(stocked: Ledger) -> None:
    stocked.hold(*from_shelf("J-104"), ANA)
    number = last(stocked)
    stocked.undo(number, BEN)
    assert stocked.balances()["BG-040"] == Balance(on_hand=2)
    entries = [
        (entry.act, entry.quantity, entry.undoes) for entry in stocked.history("J-104") if entry.part == "BG-040"
    ]
    assert entries == [("held", 2, None), ("held", -2, number)]


def test_undoing_puts_an_opened_kit_together_again(stocked: Ledger) -> None:
    use = (Use("KIT-A", "shelf", 1), Use("BG-040", "KIT-A", 2), Use("HG-050", "shelf", 2))
    stocked.hold(asked(twin("J-104")), choice_of(fitted("J-104", THIN, HEAD), use=use), ANA)
    assert (stocked.balances()["KIT-A"].on_hand, stocked.balances()["BG-040"]) == (0, Balance(on_hand=4, held=2))
    stocked.undo(last(stocked), BEN)
    assert (stocked.balances()["KIT-A"].on_hand, stocked.balances()["BG-040"]) == (1, Balance(on_hand=2))


def test_an_undone_event_is_not_undone_twice_but_the_undoing_may_be(stocked: Ledger) -> None:
    stocked.scrap({"BG-040": 1}, ANA)
    number = last(stocked)
    stocked.undo(number, BEN)
    with pytest.raises(InputError, match=f"event {number}: found 'taken back by event {number + 1}'"):
        stocked.undo(number, BEN)
    stocked.undo(number + 1, BEN)
    assert stocked.balances()["BG-040"].on_hand == 1


def test_pieces_that_have_gone_elsewhere_since_stop_an_undo(stocked: Ledger) -> None:
    stocked.bring_in({"BG-050": 2}, ANA)
    number = last(stocked)
    stocked.scrap({"BG-050": 1}, BEN)
    with pytest.raises(RefusedError, match=r"BG-050.*1 scrapped by ben.*1 more free"):
        stocked.undo(number, ANA)


def test_undoing_a_load_brings_back_counts_and_lists(stocked: Ledger) -> None:
    changed = replace(
        SHOP,
        stock=SHOP.stock | {"BG-040": replace(SHOP.stock["BG-040"], on_hand=9, bin="C1")},
        offers=(replace(THIN_OFFER, tiers=(PriceTier(1, 700),)),),
        parts=SHOP.parts | {"HG-050": replace(HEAD, thickness_mm=0.55)},
    )
    stocked.load(changed, BEN, [twin("J-104")])
    stocked.undo(last(stocked), BEN)
    assert stocked.differences(SHOP) == ()
    assert stocked.engines() == ()


def test_undoing_the_first_load_leaves_an_empty_shop(stocked: Ledger) -> None:
    stocked.undo(last(stocked), ANA)
    supply = stocked.supply()
    assert (supply.parts, supply.stock, supply.offers, supply.kits, supply.services) == ({}, {}, (), {}, {})


def test_a_list_that_has_changed_since_stops_an_undo(stocked: Ledger) -> None:
    stocked.load(replace(SHOP, offers=(replace(THIN_OFFER, pack=3), SHOP.offers[1])), BEN)
    with pytest.raises(InputError, match="event 1: found 'offer BG-040, Quillhaven, 0 has changed since'"):
        stocked.undo(1, ANA)
    assert stocked.supply().stock["HG-050"].on_hand == 6


def test_undoing_a_hold_withdraws_its_draft_and_not_an_order_that_was_sent(stocked: Ledger) -> None:
    use = (Use("BG-040", "Quillhaven", 2), Use("HG-050", "shelf", 2))
    choice = choice_of(fitted("J-104", THIN, HEAD), use=use, orders=(order_of(THIN_OFFER, 1),))
    stocked.hold(asked(twin("J-104")), choice, ANA)
    held = last(stocked)
    stocked.send(1, ANA)
    with pytest.raises(InputError, match="purchase_step 1 has changed since"):
        stocked.undo(held, BEN)
    stocked.undo(last(stocked), BEN)
    assert stocked.orders()[0].state == "draft"


def test_undoing_a_hold_with_a_draft_cancels_the_draft(stocked: Ledger) -> None:
    use = (Use("BG-040", "Quillhaven", 2), Use("HG-050", "shelf", 2))
    choice = choice_of(fitted("J-104", THIN, HEAD), use=use, orders=(order_of(THIN_OFFER, 1),))
    stocked.hold(asked(twin("J-104")), choice, ANA)
    stocked.undo(last(stocked), BEN)
    assert stocked.orders()[0].state == "cancelled"
    assert stocked.balances()["BG-040"] == Balance(on_hand=2)


def test_an_event_that_never_was_is_refused(ledger: Ledger) -> None:
    with pytest.raises(InputError, match="found '12', expected the number of an event"):
        ledger.undo(12, ANA)


@pytest.fixture
def measured(stocked: Ledger) -> Ledger:
    """J-104 is fitted, its front cylinder measured 0.03 mm above what was predicted, its rear 0.02 mm."""
    stocked.hold(*from_shelf("J-104"), ANA)
    stocked.use("J-104", ANA)
    for cylinder, quench_mm in (("front", 0.93), ("rear", 0.92)):
        stocked.measure("J-104", cylinder, [quench_mm], ANA)
    return stocked


def test_the_quench_of_a_closed_record_is_taken_back_only_together_with_what_was_learned(measured: Ledger) -> None:
    rear = last(measured)
    measured.adopt("HG-050", ANA)
    closed = measured.close("J-104", ANA)
    with pytest.raises(InputError, match=rf"a quench of J-104, whose record is closed.*undo {rear} --yes"):
        measured.undo(rear, ANA)
    assert measured.own_thicknesses()["HG-050"].measurements == 2
    taken = measured.undo(rear, BEN, learning_too=True)
    assert [each.part for each in taken.ended] == ["HG-050"]
    assert measured.own_thicknesses()["HG-050"].measurements == 1
    assert measured.supply().parts["HG-050"] == HEAD
    record = measured.build("J-104")
    assert [each.taken_back[:18] for each in record.measured] == ["", "taken back by ben "]
    assert replace(record, measured=closed.measured) == closed
    measured.undo(last(measured), BEN)
    assert measured.build("J-104") == closed
    assert measured.supply().parts["HG-050"] != HEAD


def test_an_adopted_thickness_ends_with_a_measurement_that_it_rests_on(measured: Ledger) -> None:
    rear = last(measured)
    for part in ("BG-040", "HG-050"):
        measured.adopt(part, ANA)
    taken = measured.undo(rear, ANA)
    assert [(each.part, each.listed_mm) for each in taken.ended] == [("BG-040", 0.40), ("HG-050", 0.50)]
    assert measured.supply().parts["HG-050"] == HEAD
    assert measured.own_thicknesses()["HG-050"].measurements == 1


def test_an_adopted_thickness_ends_with_the_use_that_was_measured(measured: Ledger) -> None:
    used = next(each.number for each in measured.events(9) if each.what == "use")
    measured.adopt("HG-050", ANA)
    assert [each.part for each in measured.undo(used, ANA).ended] == ["HG-050"]


def test_an_adopted_thickness_stays_where_what_is_taken_back_came_after_it(measured: Ledger) -> None:
    measured.adopt("HG-050", ANA)
    measured.measure("J-104", "rear", [0.95], ANA)
    assert measured.undo(last(measured), ANA).ended == ()
    assert measured.supply().parts["HG-050"] != HEAD


@pytest.mark.parametrize(
    "first",
    [
        lambda ledger: ledger.count({"BG-040": 5}, ANA),
        lambda ledger: ledger.correct("BG-040", 7, ANA),
        lambda ledger: ledger.bring_in({"BG-040": 7}, ANA),
        lambda ledger: ledger.scrap({"BG-040": 1}, ANA),
    ],
)
def test_what_was_said_of_the_shelf_before_a_count_is_undone_without_changing_the_count(
    stocked: Ledger, first: Callable[[Ledger], object]
) -> None:
    """2 there, then something, then 4 counted: 4, whatever the something was; both undone: 2 again."""
    first(stocked)
    earlier = last(stocked)
    stocked.count({"BG-040": 4}, BEN)
    counted = last(stocked)
    assert stocked.undo(earlier, BEN).counted == ("BG-040",)
    assert stocked.balances()["BG-040"] == Balance(on_hand=4)
    undone = last(stocked)
    stocked.undo(undone, BEN)
    assert stocked.balances()["BG-040"] == Balance(on_hand=4)
    stocked.undo(last(stocked), BEN)
    stocked.undo(counted, BEN)
    assert stocked.balances()["BG-040"] == Balance(on_hand=2)


def test_a_use_undone_after_a_count_puts_its_pieces_back_on_the_shelf(stocked: Ledger) -> None:
    """What an engine took comes back as a thing: two of two in the engine, none counted, two there again."""
    stocked.hold(*from_shelf("J-104"), ANA)
    stocked.use("J-104", ANA)
    used = last(stocked)
    stocked.count({"BG-040": 0}, BEN)
    stocked.undo(used, BEN)
    assert stocked.balances()["BG-040"] == Balance(on_hand=2, held=2)


def test_parts_that_came_since_the_first_load_keep_their_description(stocked: Ledger) -> None:
    stocked.bring_in({"BG-050": 2}, BEN)
    assert stocked.undo(1, ANA).kept == ("BG-050",)
    assert stocked.supply().stock.keys() == {"BG-050"}
    assert stocked.supply().free("BG-050") == 2
