"""Two books that say one fact differently: the one whose word stands is kept, and that is said."""

from __future__ import annotations

from datetime import date

from msgspec.structs import replace

from stackopt.parts.part_records import Offer, PriceTier, Supply
from stackopt.shop.ledger import Ledger
from tests.shop.situations import ANA, BEN, SHOP, THIN, twin

OTHER = replace(SHOP, parts=SHOP.parts | {"BG-040": replace(THIN, thickness_mm=0.42)})


def test_a_list_whose_word_was_replaced_is_older_however_often_it_is_loaded(ledger: Ledger) -> None:
    ledger.load(SHOP, ANA)
    ledger.load(OTHER, BEN)
    (told,) = ledger.differences(SHOP)
    assert (told.part, told.is_older) == ("BG-040", True)
    assert told.stands.startswith("ben stored otherwise on 20")
    assert ledger.differences(OTHER) == ()


def test_what_was_said_by_name_after_all_is_then_the_newest_word(ledger: Ledger) -> None:
    ledger.load(SHOP, ANA)
    ledger.load(OTHER, BEN)
    ledger.load(SHOP, ANA)
    assert ledger.differences(SHOP) == ()
    (told,) = ledger.differences(OTHER)
    assert told.stands.startswith("ana stored otherwise")


def test_what_was_taken_back_may_be_said_again(ledger: Ledger) -> None:
    ledger.load(SHOP, ANA)
    ledger.load(OTHER, BEN)
    ledger.undo(ledger.events(1)[0].number, BEN)
    (told,) = ledger.differences(OTHER)
    assert not told.is_older


def test_a_new_word_is_taken_as_it_comes(ledger: Ledger) -> None:
    ledger.load(SHOP, ANA)
    ledger.load(OTHER, BEN)
    third = replace(SHOP, parts=SHOP.parts | {"BG-040": replace(THIN, thickness_mm=0.43)})
    assert [each.is_older for each in ledger.differences(third)] == [False]


def test_an_engine_that_was_entered_anew_is_not_put_back_by_the_old_book(ledger: Ledger) -> None:
    """A due date, here; a deck that was read again is the same, and that one touches the head."""
    ledger.load(SHOP, ANA, [twin("J-104")])
    ledger.load(Supply(), BEN, [twin("J-104", date(2027, 3, 1))])
    (told,) = ledger.differences(Supply(), [twin("J-104")])
    assert (told.called, told.is_older) == ("J-104", True)


def test_a_part_that_only_suppliers_list_is_what_the_first_of_them_says(ledger: Ledger) -> None:
    part = replace(THIN, number="BG-045", thickness_mm=0.45)
    first, second = (
        Supply({"BG-045": each}, offers=(Offer(supplier, "BG-045", (PriceTier(1, 600),)),))
        for supplier, each in (("Quillhaven", part), ("Varnik", replace(part, thickness_mm=0.46)))
    )
    ledger.load(first, ANA)
    told = {each.subject: each for each in ledger.differences(second)}
    assert told["part"].stands == "Quillhaven lists it longer, and the part stays as his list describes it"
    assert not told["offer"].is_older
    ledger.load(second, BEN, shown=[told["offer"]])
    assert ledger.differences(first) == ()


def test_a_price_that_comes_back_is_the_newest_all_the_same(ledger: Ledger) -> None:
    ledger.load(SHOP, ANA)
    dearer = tuple(replace(each, tiers=(PriceTier(1, 9900),)) for each in SHOP.offers)
    ledger.load(replace(SHOP, offers=dearer), ANA)
    assert not any(each.is_older for each in ledger.differences(SHOP))
