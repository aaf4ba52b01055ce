"""Loading a book: differences first, then counts and lists; twice the same changes nothing."""

from __future__ import annotations

from datetime import date

import pytest
from msgspec.structs import replace

from stackopt.parts.part_records import Kit, Offer, PriceTier, Service, StockColumn, StockLine, StockSheet, Supply
from stackopt.problems import InputError
from stackopt.shop.database.acts import Balance
from stackopt.shop.ledger import Ledger
from tests.shop.situations import ANA, BEN, OFFERS, PARTS, SHOP, STOCK, THIN, THIN_OFFER, from_shelf, twin


def with_stock(**on_hand: int) -> Supply:
    stock = {number: replace(STOCK[number], on_hand=pieces) for number, pieces in on_hand.items()}
    return replace(SHOP, stock=STOCK | stock)


def words(ledger: Ledger, supply: Supply) -> list[str]:
    return [str(difference) for difference in ledger.differences(supply)]


def test_a_loaded_book_comes_back_as_it_was(ledger: Ledger) -> None:
    ledger.load(SHOP, ANA, [twin("J-104")])
    assert ledger.supply() == SHOP
    assert ledger.engines() == (twin("J-104"),)
    assert ledger.engine("J-104") == twin("J-104")


def test_the_first_book_is_all_differences(ledger: Ledger) -> None:
    """Four parts, three counts that are not 0, two offers, one supplier, one kit, one service."""
    assert len(ledger.differences(SHOP)) == 4 + 3 + 2 + 1 + 1 + 1
    assert ledger.balances() == {}


def test_the_same_book_twice_changes_nothing(ledger: Ledger) -> None:
    ledger.load(SHOP, ANA, [twin("J-104")])
    events = ledger.events(9)
    assert ledger.load(SHOP, BEN, [twin("J-104")]) == ()
    assert ledger.events(9) == events


def test_where_a_list_says_something_is_no_difference(ledger: Ledger) -> None:
    ledger.load(SHOP, ANA)
    elsewhere = tuple(replace(offer, written_at="other.csv, F7") for offer in OFFERS)
    assert ledger.differences(replace(SHOP, offers=elsewhere)) == ()


def test_a_count_becomes_the_difference_against_the_ledger(ledger: Ledger) -> None:
    ledger.load(SHOP, ANA)
    assert words(ledger, with_stock(**{"BG-040": 5})) == ["shelf BG-040: on hand 2 -> 5"]
    ledger.load(with_stock(**{"BG-040": 5}), BEN)
    assert [(entry.act, entry.quantity, entry.who) for entry in ledger.history("BG-040")] == [
        ("counted", 2, "ana"),
        ("counted", 3, "ben"),
    ]


def test_a_count_takes_in_what_is_held(ledger: Ledger) -> None:
    """Held pieces still lie on the shelf: 2 counted, 2 held, is no difference."""
    ledger.load(SHOP, ANA)
    ledger.hold(*from_shelf("J-104"), ANA)
    assert ledger.differences(SHOP) == ()


def test_a_book_that_counts_less_than_is_held_shows_who_loses_and_takes_it_from_him(ledger: Ledger) -> None:
    """Two engines hold one piece of two each; the one without a due date is the less urgent."""
    ledger.load(with_stock(**{"BG-040": 4, "HG-050": 9}), ANA)
    request, choice = from_shelf("J-104", "J-105")
    ledger.hold(replace(request, engines=(twin("J-104", date(2027, 2, 1)), twin("J-105"))), choice, ANA)
    book = with_stock(**{"BG-040": 3, "HG-050": 9})
    (shown,) = ledger.differences(book)
    assert str(shown) == "shelf BG-040: on hand 4 -> 3; J-105 loses 1 of BG-040"
    ledger.load(book, BEN)
    assert ledger.balances()["BG-040"] == Balance(on_hand=3, held=3)
    assert [(line.engine, line.state.value) for line in ledger.board(date(2027, 1, 4))] == [
        ("J-104", "ready to build"),
        ("J-105", "to plan"),
    ]
    assert ledger.differences(book) == ()


def test_who_would_lose_by_a_book_is_asked_again_where_that_has_changed_since_it_was_shown(ledger: Ledger) -> None:
    ledger.load(SHOP, ANA)
    ledger.hold(*from_shelf("J-104"), ANA)
    shown = ledger.differences(with_stock(**{"BG-040": 1}))
    ledger.release("J-104", ANA)
    ledger.hold(*from_shelf("J-105"), ANA)
    with pytest.raises(InputError, match="Somebody has changed the ledger since it was shown"):
        ledger.load(with_stock(**{"BG-040": 1}), BEN, shown=shown)


def test_only_some_differences_may_be_accepted(ledger: Ledger) -> None:
    ledger.load(SHOP, ANA)
    book = with_stock(**{"BG-040": 5, "HG-050": 9})
    accepted = [difference for difference in ledger.differences(book) if difference.part == "HG-050"]
    assert ledger.load(book, BEN, shown=accepted) == tuple(accepted)
    assert (ledger.balances()["BG-040"].on_hand, ledger.balances()["HG-050"].on_hand) == (2, 9)


def test_differences_that_have_changed_since_they_were_shown_are_refused(ledger: Ledger) -> None:
    ledger.load(SHOP, ANA)
    book = with_stock(**{"BG-040": 5})
    shown = ledger.differences(book)
    ledger.count({"BG-040": 4}, BEN)
    with pytest.raises(InputError, match="changed the ledger since"):
        ledger.load(book, ANA, shown=shown)
    assert ledger.balances()["BG-040"].on_hand == 4


def test_a_new_price_list_ends_lines_that_are_gone_and_keeps_the_old_prices(ledger: Ledger) -> None:
    ledger.load(SHOP, ANA)
    dearer = replace(THIN_OFFER, tiers=(PriceTier(1, 700),))
    book = replace(SHOP, offers=(dearer,))
    assert words(ledger, book) == [
        "offer BG-040 Quillhaven: price 6.40 from 1 and 5.90 from 3 -> 7.00 from 1",
        "offer KIT-A Quillhaven: no longer listed",
    ]
    ledger.load(book, BEN)
    assert ledger.supply().offers == (dearer,)
    assert [(price.tiers, price.listed, price.who) for price in ledger.prices("BG-040")] == [
        ((PriceTier(1, 640), PriceTier(3, 590)), True, "ana"),
        ((PriceTier(1, 700),), True, "ben"),
    ]
    assert [price.listed for price in ledger.prices("KIT-A")] == [True, False]


def test_a_list_of_one_supplier_leaves_the_others_alone(ledger: Ledger) -> None:
    other = Offer("Varnik", "HG-050", (PriceTier(1, 800),))
    ledger.load(replace(SHOP, offers=(*OFFERS, other)), ANA)
    assert ledger.differences(replace(SHOP, stock={}, offers=OFFERS)) == ()


def test_two_lines_of_one_supplier_for_one_part_are_both_kept(ledger: Ledger) -> None:
    single = replace(THIN_OFFER, pack=1, tiers=(PriceTier(1, 400),))
    ledger.load(replace(SHOP, offers=(THIN_OFFER, single)), ANA)
    assert ledger.supply().offers == (THIN_OFFER, single)


def test_the_stock_list_goes_before_what_a_supplier_says_of_a_part(ledger: Ledger) -> None:
    ledger.load(SHOP, ANA)
    as_sold = replace(THIN, tolerance_mm=0.0, description="gasket, base")
    price_list = Supply({"BG-040": as_sold}, {}, (THIN_OFFER, OFFERS[1]), {}, {})
    assert ledger.differences(price_list) == ()


def test_a_part_known_from_a_price_list_is_described_by_the_stock_list_later(ledger: Ledger) -> None:
    ledger.load(Supply({"BG-040": replace(THIN, tolerance_mm=0.0)}, {}, (THIN_OFFER,)), ANA)
    assert ledger.supply().stock == {}
    ledger.load(Supply({"BG-040": THIN}, {"BG-040": STOCK["BG-040"]}), ANA)
    assert ledger.supply().parts == {"BG-040": THIN}
    assert ledger.supply().stock["BG-040"].on_hand == 2


def test_a_part_that_the_book_does_not_mention_stays(ledger: Ledger) -> None:
    ledger.load(SHOP, ANA)
    assert ledger.differences(Supply({"BG-040": THIN}, {"BG-040": STOCK["BG-040"]})) == ()


def test_a_kit_with_other_contents_replaces_the_old_one(ledger: Ledger) -> None:
    ledger.load(SHOP, ANA)
    ledger.load(replace(SHOP, kits={"KIT-A": Kit("KIT-A", {"BG-040": 1})}), ANA)
    assert ledger.supply().kits["KIT-A"].contents == {"BG-040": 1}


def test_a_new_price_of_work_replaces_the_old_one_until_it_is_undone(ledger: Ledger) -> None:
    ledger.load(SHOP, ANA)
    dearer = replace(
        SHOP, services={"head cut": Service("head cut", 4200, "cylinder"), "spacer": Service("spacer", 900)}
    )
    assert words(ledger, dearer) == [
        "service head cut: service Head cut -> head cut, price 38.00 -> 42.00",
        "service spacer: new",
    ]
    ledger.load(dearer, BEN)
    assert ledger.supply().services == dearer.services
    ledger.undo(ledger.events(1)[0].number, BEN)
    assert ledger.supply().services == SHOP.services


def test_new_readings_of_an_engine_replace_the_old_ones(ledger: Ledger) -> None:
    ledger.load(SHOP, ANA, [twin("J-104")])
    again = replace(twin("J-104"), rod_length_mm=152.0)
    (difference,) = ledger.load(SHOP, ANA, [again])
    assert str(difference) == "engine J-104: rod length none -> 152 mm"
    assert ledger.engine("J-104") == again


def test_unlisted_facts_of_stock_are_kept(ledger: Ledger) -> None:
    line = StockLine("BG-040", 3, 0, 215, 1, 6, "B3", 0.95)
    ledger.load(Supply(PARTS, {"BG-040": line}), ANA)
    assert ledger.supply().stock == {"BG-040": line}
    assert ledger.balances() == {"BG-040": Balance(on_hand=3)}


def test_what_a_stock_list_calls_reserved_is_held_and_not_promised_again(ledger: Ledger) -> None:
    line = replace(STOCK["BG-040"], on_hand=3, reserved=2)
    ledger.load(replace(SHOP, stock={"BG-040": line}), ANA)
    assert ledger.supply().stock["BG-040"] == line
    outcome = ledger.hold(*from_shelf("J-104"), BEN)
    assert "2 held for the stock list by ana" in str(outcome)
    assert ledger.differences(replace(SHOP, stock={"BG-040": line})) == ()


def test_what_engines_hold_is_part_of_what_a_stock_list_calls_reserved(ledger: Ledger) -> None:
    """J-104 holds 2; a list that says 3 reserved adds 1, and one that says 2 takes it away again."""
    ledger.load(SHOP, ANA)
    ledger.hold(*from_shelf("J-104"), ANA)
    book = replace(SHOP, stock={"BG-040": replace(STOCK["BG-040"], on_hand=4, reserved=3)})
    assert words(ledger, book) == ["shelf BG-040: on hand 2 -> 4, reserved 0 -> 1"]
    ledger.load(book, ANA)
    assert ledger.balances()["BG-040"] == Balance(on_hand=4, held=3)
    ledger.load(replace(SHOP, stock={"BG-040": replace(STOCK["BG-040"], on_hand=4, reserved=2)}), ANA)
    assert ledger.balances()["BG-040"] == Balance(on_hand=4, held=2)


def test_after_an_undone_load_a_price_list_may_describe_a_part_again(ledger: Ledger) -> None:
    ledger.load(SHOP, ANA)
    ledger.undo(1, ANA)
    ledger.load(Supply({"BG-040": THIN}, {}, (THIN_OFFER,)), ANA)
    assert ledger.supply().parts == {"BG-040": THIN}


COLUMNS = (
    StockColumn("No.", "part number"),
    StockColumn("Qty", "on hand"),
    StockColumn("Thk (in)", "thickness", "in"),
    StockColumn("Remarks", kept=True),
)
SHEET = StockSheet(COLUMNS, {"BG-040": {"Remarks": "odd box"}})


def test_how_the_stock_list_looks_is_loaded_once(ledger: Ledger) -> None:
    found = ledger.load(SHOP, ANA, sheet=SHEET)
    assert [str(difference) for difference in found[-2:]] == [
        "columns of the stock list: No., Qty, Thk (in), Remarks; not understood, kept as they stand: Remarks",
        "other columns of BG-040: new",
    ]
    assert ledger.stock_sheet() == SHEET
    assert ledger.load(SHOP, BEN, sheet=SHEET) == ()


def test_the_rows_above_the_columns_are_kept_with_them(ledger: Ledger) -> None:
    titled = replace(SHEET, above=(("Alder Lane stock list",), ("units", "inches")))
    found = ledger.load(SHOP, ANA, sheet=titled)
    assert "columns of the stock list: No., Qty, Thk (in), Remarks;" in str(found[-2])
    assert ledger.stock_sheet() == titled


def test_a_list_of_some_parts_leaves_the_columns_of_the_others(ledger: Ledger) -> None:
    ledger.load(SHOP, ANA, sheet=SHEET)
    counted = Supply({"BG-050": PARTS["BG-050"]}, {"BG-050": STOCK["BG-050"]})
    thickness = StockColumn("thickness (mm)", "thickness", "mm")
    ledger.load(counted, BEN, sheet=StockSheet((COLUMNS[0], COLUMNS[1], thickness)))
    assert ledger.stock_sheet() == StockSheet((COLUMNS[0], COLUMNS[1], thickness, COLUMNS[3]), SHEET.kept)


def test_a_list_of_every_part_is_the_new_list(ledger: Ledger) -> None:
    ledger.load(SHOP, ANA, sheet=SHEET)
    ledger.load(SHOP, BEN, sheet=StockSheet(COLUMNS[:3]))
    assert ledger.stock_sheet() == StockSheet(COLUMNS[:3], {"BG-040": {}})
    ledger.undo(2, ANA)
    assert ledger.stock_sheet() == SHEET


def test_differences_are_told_in_the_words_of_the_trade(ledger: Ledger) -> None:
    ledger.load(SHOP, ANA, [twin("J-104")])
    parts = PARTS | {"BG-040": replace(THIN, thickness_mm=0.41, families=frozenset({"A", "B"}))}
    offers = (replace(THIN_OFFER, tiers=(PriceTier(1, 650),), special_order=True), OFFERS[1])
    cylinders = (twin("J-104").cylinders[0], replace(twin("J-104").cylinders[1], deck_height_mm=0.05))
    book = replace(SHOP, parts=parts, offers=offers, kits={"KIT-A": Kit("KIT-A", {"BG-040": 2, "HG-050": 1})})
    engine = replace(twin("J-104"), cylinders=cylinders)
    assert [str(difference) for difference in ledger.differences(book, [engine])] == [
        "part BG-040: thickness 0.4 -> 0.41 mm, fits A -> A;B",
        "offer BG-040 Quillhaven: special order no -> yes, price 6.40 from 1 and 5.90 from 3 -> 6.50 from 1",
        "kit KIT-A: HG-050 2 -> 1",
        "engine J-104: cylinder rear deck height 0 -> 0.05 mm",
    ]


def test_a_list_that_agreed_when_it_was_loaded_is_older_too_once_something_has_moved(ledger: Ledger) -> None:
    """Two of four go, a list says two and changes nothing; three come, and the same list says two of five again."""
    four, two = with_stock(**{"BG-040": 4}), with_stock(**{"BG-040": 2})
    ledger.load(four, ANA)
    ledger.scrap({"BG-040": 2}, ANA)
    assert ledger.differences(two) == ()
    ledger.bring_in({"BG-040": 3}, ANA)
    (told,) = ledger.differences(two)
    assert told.moved == "+3 received"


def test_a_list_that_said_none_is_older_once_some_have_come(ledger: Ledger) -> None:
    ledger.load(SHOP, ANA)
    ledger.bring_in({"BG-050": 3}, ANA)
    (told,) = ledger.differences(SHOP)
    assert told.moved == "+3 received"
