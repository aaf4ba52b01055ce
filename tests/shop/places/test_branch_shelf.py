"""Each branch's shelf is its own: counted, loaded, received and fitted from without the others being touched."""

from __future__ import annotations

from datetime import timedelta

import pytest
from msgspec.structs import replace

from stackopt.choose.choice_records import Use
from stackopt.choose.solve.plan import plan
from stackopt.parts.part_records import StockLine, Supply
from stackopt.problems import InputError
from stackopt.shop.ledger import Ledger
from stackopt.shop.places.naming import NamedBranch
from tests.shop.places.two import AT_OTHER, MAIN, OTHER, held, hold_from_other, on_hand, send, send_all, two_branches
from tests.shop.situations import (
    ANA,
    BEN,
    HEAD,
    PARTS,
    SHOP,
    THIN,
    THIN_OFFER,
    TODAY,
    asked,
    choice_of,
    fitted,
    order_of,
    twin,
)


def hold_at_other(ledger: Ledger, engine: str) -> None:
    use = (Use("BG-040", "shelf", 2), Use("HG-050", "shelf", 2))
    ledger.hold_all(asked(twin(engine)), choice_of(fitted(engine, THIN, HEAD), use=use), ANA, OTHER)


def test_a_stock_list_of_one_branch_leaves_the_others_and_the_bins_of_the_main_one(ledger: Ledger) -> None:
    """Nordkai counts a part that lies in bin B2 at Mill Street: there it keeps its bin, levels, cost and count."""
    two_branches(ledger)
    main_before = ledger.supply(at=MAIN).stock
    newer = replace(AT_OTHER, stock={**AT_OTHER.stock, "BG-040": StockLine("BG-040", 7, bin="R8", minimum=2)})
    (line, shelf) = sorted(ledger.load(newer, BEN, at=OTHER), key=lambda each: each.subject)
    assert str(line) == "stock line of Nordkai BG-040: bin R7 -> R8, minimum none -> 2"
    assert str(shelf) == "shelf BG-040 at Nordkai: on hand 2 -> 7"
    assert ledger.supply(at=MAIN).stock == main_before
    assert ledger.supply(at=OTHER).stock["BG-040"].bin == "R8"
    assert ledger.load(newer, BEN, at=OTHER) == ledger.load(SHOP, BEN) == ()


def test_a_list_that_is_older_than_a_transfer_does_not_put_the_pieces_back(ledger: Ledger) -> None:
    two_branches(ledger)
    send(ledger, "HG-050", 2)
    (older,) = ledger.differences(AT_OTHER, at=OTHER)
    assert (older.moved, older.is_older) == ("-2 transferred", True)
    assert ledger.differences(SHOP) == ()


def test_a_part_that_only_a_branch_has_is_new_to_the_shop(ledger: Ledger) -> None:
    two_branches(ledger)
    third = replace(THIN, number="BG-041")
    book = Supply(PARTS | {"BG-041": third}, {"BG-041": StockLine("BG-041", 4, unit_cost_cents=230, bin="R1")})
    ledger.load(book, ANA, at=OTHER)
    assert on_hand(ledger, "BG-041") == {OTHER: 4}
    at_main = ledger.supply(at=MAIN).stock["BG-041"]
    assert (at_main.on_hand, at_main.bin, at_main.unit_cost_cents) == (0, "", 230)


def test_what_a_branchs_list_says_is_on_order_comes_there(ledger: Ledger) -> None:
    two_branches(ledger)
    day = TODAY + timedelta(days=9)
    line = StockLine("HG-050", 3, bin="R9", on_order=5, expected=day)
    ledger.load(replace(AT_OTHER, stock={**AT_OTHER.stock, "HG-050": line}), ANA, at=OTHER)
    assert ledger.differences(SHOP) == ()
    days = [[each.day for each in ledger.supply(today=TODAY, at=at).ordered if each.order] for at in (OTHER, MAIN)]
    assert days == [[day], [day + timedelta(days=2)]]
    ledger.bring_in({"HG-050": 5}, ANA, OTHER)
    assert on_hand(ledger, "HG-050") == {MAIN: 6, OTHER: 8}
    assert ledger.balances()["HG-050"].on_order == 0


def test_a_count_at_one_branch_takes_from_who_holds_pieces_there(ledger: Ledger) -> None:
    two_branches(ledger)
    hold_at_other(ledger, "N-1")
    counted = ledger.count({"HG-050": 1}, ANA, OTHER)
    assert [str(loss) for loss in counted.losses] == ["N-1 loses 1 of HG-050"]
    assert ledger.count({"HG-050": 6}, ANA).differences == {"HG-050": 0}
    assert (on_hand(ledger, "HG-050"), held(ledger, "HG-050")) == ({MAIN: 6, OTHER: 1}, {OTHER: 1})


def test_an_undone_count_of_one_branch_leaves_a_later_count_of_the_other(ledger: Ledger) -> None:
    two_branches(ledger)
    ledger.count({"HG-050": 1}, ANA, OTHER)
    number = ledger.events(1)[0].number
    ledger.count({"HG-050": 4}, ANA)
    ledger.undo(number, ANA)
    assert on_hand(ledger, "HG-050") == {MAIN: 4, OTHER: 3}


def test_scrapping_and_correcting_are_refused_beyond_what_lies_at_the_branch(ledger: Ledger) -> None:
    two_branches(ledger)
    ledger.scrap({"HG-050": 1}, ANA, OTHER)
    ledger.correct("HG-050", -1, BEN, OTHER)
    with pytest.raises(InputError, match="1 more free on the shelf at Nordkai"):
        ledger.scrap({"HG-050": 2}, ANA, OTHER)
    assert on_hand(ledger, "HG-050") == {MAIN: 6, OTHER: 1}


def test_fit_counts_what_another_branch_has_with_its_transfer_days(ledger: Ledger) -> None:
    """Two head gaskets, none here, three at Nordkai two days away: ready on 6 January, nothing bought."""
    two_branches(ledger)
    ledger.count({"HG-050": 0, "KIT-A": 0}, ANA)
    request = asked(twin("J-1"))
    choice = plan(request, ledger.supply({"A"}, today=TODAY, at=MAIN))
    (engine,) = choice.engines
    assert engine.ready_on(TODAY) == TODAY + timedelta(days=2)
    assert {(use.part, use.source, use.quantity) for use in choice.use} == {
        ("BG-040", "shelf", 2),
        ("HG-050", "branch Nordkai", 2),
    }
    assert all("branch Nordkai" in cylinder.sources for cylinder in engine.cylinders)
    ledger.hold_all(request, choice, ANA)
    assert held(ledger, "HG-050") == {OTHER: 2}
    assert ledger.supply({"A"}, today=TODAY, at=OTHER).free("HG-050") == 1


def test_a_piece_that_comes_by_transfer_too_late_is_not_chosen(ledger: Ledger) -> None:
    two_branches(ledger)
    ledger.count({"HG-050": 0, "KIT-A": 0}, ANA)
    supply = ledger.supply({"A"}, today=TODAY, at=MAIN)
    due = {days: plan(asked(twin("J-1", TODAY + timedelta(days=days))), supply).engines[0].blocked for days in (1, 2)}
    assert due == {1: True, 2: False}


def test_where_no_days_are_said_pieces_elsewhere_have_no_day(ledger: Ledger) -> None:
    two_branches(ledger)
    for number in (4, 3):
        ledger.undo(number, ANA)
    ledger.name_branch(NamedBranch(OTHER), ANA)
    ledger.load(AT_OTHER, ANA, at=OTHER)
    coming = ledger.supply(today=TODAY, at=MAIN).ordered
    assert {(each.part, each.branch, each.day) for each in coming} == {("HG-050", OTHER, None), ("BG-040", OTHER, None)}


def test_the_last_piece_of_another_branch_is_held_once(ledger: Ledger) -> None:
    """Both chose from the same three head gaskets of Nordkai; the second is refused and nothing of it is stored."""
    two_branches(ledger)
    hold_from_other(ledger, "J-1")
    second = choice_of(fitted("J-2", HEAD), use=(Use("HG-050", "branch Nordkai", 2),))
    events = ledger.events(1)
    with pytest.raises(InputError, match="1 of HG-050 no longer free at branch Nordkai"):
        ledger.hold_all(asked(twin("J-2")), second, BEN)
    assert ledger.events(1) == events


def test_use_takes_what_lies_where_the_engine_is_built(ledger: Ledger) -> None:
    two_branches(ledger)
    hold_from_other(ledger, "J-1")
    assert ledger.lacking("J-1") == {"HG-050": 2}
    sent = send_all(ledger)
    ledger.receive(sent.order, ANA)
    assert ledger.lacking("J-1") == {}
    assert ledger.use("J-1", ANA) == {"BG-040": 2, "HG-050": 2}
    ledger.bring_back("J-1", {"HG-050": 1}, ANA)
    assert on_hand(ledger, "HG-050") == {MAIN: 7, OTHER: 1}
    ledger.bring_back("J-1", {"HG-050": 1}, ANA, OTHER)
    assert on_hand(ledger, "HG-050") == {MAIN: 7, OTHER: 2}
    assert ledger.verify().damage == ()


def test_the_board_tells_where_an_engine_is_built_and_what_has_to_be_brought(ledger: Ledger) -> None:
    two_branches(ledger)
    hold_from_other(ledger, "J-1")
    (line,) = ledger.board(TODAY)
    assert (line.branch, line.state.value, line.ready_on) == (MAIN, "waiting for parts", TODAY + timedelta(days=2))
    assert line.holds == {"BG-040": 2}
    (awaited,) = line.waits_for
    assert (awaited.part, awaited.quantity, awaited.supplier) == ("HG-050", 2, "branch Nordkai")


def test_an_order_for_a_branch_comes_there_and_an_engine_elsewhere_waits_longer(ledger: Ledger) -> None:
    """Quillhaven delivers in five days to Nordkai, where N-1 is built."""
    two_branches(ledger)
    use = (Use("BG-040", "Quillhaven", 2), Use("HG-050", "shelf", 2))
    choice = choice_of(fitted("N-1", THIN, HEAD), use=use, orders=(order_of(THIN_OFFER, 2),))
    ledger.hold_all(asked(twin("N-1")), choice, ANA, OTHER)
    ledger.send(1, ANA)
    (at_other,), (at_main,) = (
        [each for each in ledger.supply(today=TODAY, at=at).ordered if each.order] for at in (OTHER, MAIN)
    )
    assert at_main.day is not None
    assert at_other.day is not None
    assert at_main.day - at_other.day == timedelta(days=2)
    ledger.receive(1, ANA)
    assert held(ledger, "BG-040") == {OTHER: 2}
    assert on_hand(ledger, "BG-040") == {MAIN: 2, OTHER: 6}


def test_an_engine_that_keeps_pieces_at_one_branch_is_not_planned_at_another(ledger: Ledger) -> None:
    two_branches(ledger)
    hold_at_other(ledger, "N-1")
    ledger.count({"HG-050": 0}, ANA, OTHER)
    assert [engine.name for engine in ledger.engines(OTHER)] == ["N-1"]
    assert ledger.engines(MAIN) == ()
    assert ledger.built_at("N-1") == OTHER
    ledger.release("N-1", ANA)
    assert held(ledger, "BG-040") == {}


def test_a_shop_of_one_branch_says_nothing_of_branches(ledger: Ledger) -> None:
    ledger.load(SHOP, ANA)
    assert ledger.supply(today=TODAY, at="") == ledger.supply(today=TODAY)
    assert {entry.branch for entry in ledger.history("HG-050")} == {""}
    assert all(
        " at " not in str(each) for each in ledger.differences(replace(SHOP, stock={"HG-050": StockLine("HG-050", 1)}))
    )
