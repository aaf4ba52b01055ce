"""What can be bought, and what it brings: lines in a fixed order, kits exploded, old numbers going to the new."""

from __future__ import annotations

import math
from datetime import date

import pytest

from stackopt.parts.part_records import Kind, Kit, Offer, Part, PriceTier, Service, StockLine, Supply, UnderWay
from stackopt.parts.sources import days_until, obtainable_parts, pieces_per_pack, purchase_sources

PARTS = {number: Part(number, Kind.BASE_GASKET, thickness_mm=0.4) for number in ("A", "B", "C", "NEW")}
SET = Kit("SET", {"A": 1, "B": 2})


def offer(part: str, supplier: str = "Varnik", *, cents: int = 500, lead_days: int = 3, **facts: object) -> Offer:
    return Offer(supplier, part, (PriceTier(1, cents),), lead_days=lead_days, **facts)  # type: ignore[arg-type]


def supply(*offers: Offer, stock: tuple[StockLine, ...] = ()) -> Supply:
    return Supply(PARTS, {line.part: line for line in stock}, offers, kits={"SET": SET})


def bought(*offers: Offer) -> list[tuple[str, str]]:
    return [(source.offer.supplier, source.offer.part) for source in purchase_sources(supply(*offers))]


def test_a_pack_brings_its_pieces() -> None:
    assert pieces_per_pack(offer("A", pack=4), supply()) == {"A": 4}


def test_a_kit_brings_its_parts_pack_by_pack() -> None:
    """Two sets a pack, each 1 A and 2 B."""
    assert pieces_per_pack(offer("SET", pack=2), supply()) == {"A": 2, "B": 4}


def test_the_order_of_lines_is_that_of_their_facts_not_of_the_list() -> None:
    lines = [
        offer("B", "Varnik"),
        offer("A", "Varnik", lead_days=9),
        offer("A", "Varnik", lead_days=2),
        offer("A", "Dorfmoos"),
        offer("A", "Varnik", pack=2),
        offer("A", "Varnik", lead_days=2, cents=400),
    ]
    there, back = purchase_sources(supply(*lines)), purchase_sources(supply(*reversed(lines)))
    assert there == back
    assert [(each.offer.supplier, each.offer.part, each.offer.pack, each.offer.lead_days) for each in there] == [
        ("Dorfmoos", "A", 1, 3),
        ("Varnik", "A", 1, 2),
        ("Varnik", "A", 1, 2),
        ("Varnik", "A", 1, 9),
        ("Varnik", "A", 2, 3),
        ("Varnik", "B", 1, 3),
    ]
    assert [each.offer.tiers[0].price_cents for each in there[1:3]] == [400, 500]


def test_a_discontinued_line_is_not_bought() -> None:
    assert bought(offer("A", discontinued=True), offer("B")) == [("Varnik", "B")]
    assert bought(offer("A", discontinued=True, superseded_by="NEW")) == []


def test_an_old_number_is_ordered_under_the_new_one() -> None:
    assert bought(offer("A", superseded_by="NEW")) == [("Varnik", "NEW")]
    assert bought(offer("A", superseded_by="SET")) == [("Varnik", "SET")]


def test_the_new_numbers_own_line_counts_where_the_supplier_has_one() -> None:
    assert bought(offer("A", superseded_by="NEW"), offer("NEW", cents=600)) == [("Varnik", "NEW")]
    assert bought(offer("A", superseded_by="NEW"), offer("NEW", "Dorfmoos")) == [("Dorfmoos", "NEW"), ("Varnik", "NEW")]


def test_a_new_number_that_nobody_knows_cannot_be_ordered() -> None:
    assert bought(offer("A", superseded_by="NOBODY")) == []


@pytest.mark.parametrize(
    ("due", "days"), [(None, math.inf), (date(2027, 2, 1), 0), (date(2027, 2, 20), 19), (date(2027, 1, 31), -1)]
)
def test_days_are_calendar_days(due: date | None, days: float) -> None:
    assert days_until(due, date(2027, 2, 1)) == days


def test_what_is_free_or_comes_in_time_can_be_had() -> None:
    """A lies free; B is all promised; C comes in three days; a set on the shelf brings its parts."""
    stock = (StockLine("A", 1), StockLine("B", 2, reserved=2))
    there = supply(offer("C", lead_days=3), stock=stock)
    sources = purchase_sources(there)
    assert obtainable_parts(there, sources, 3) == {"A", "C"}
    assert obtainable_parts(there, sources, 2) == {"A"}
    with_set = supply(stock=(*stock, StockLine("SET", 1)))
    assert obtainable_parts(with_set, (), 0) == {"A", "B", "SET"}


def test_what_is_under_way_is_listed_and_ordered_pieces_together() -> None:
    there = Supply(
        PARTS,
        {"A": StockLine("A", 1, on_order=2, expected=date(2027, 3, 1))},
        ordered=(UnderWay("A", 3, None, order=7),),
    )
    assert there.under_way == (UnderWay("A", 2, date(2027, 3, 1)), UnderWay("A", 3, None, order=7))
    assert there.pieces_under_way == {"A": 5}


def test_a_supplier_without_terms_charges_no_freight() -> None:
    terms = supply().supplier("Nobody")
    assert (terms.freight_cents, terms.free_freight_over_cents, terms.minimum_order_cents) == (0, None, 0)


def test_the_price_is_that_of_the_tier_reached() -> None:
    line = Offer("Varnik", "A", (PriceTier(1, 500), PriceTier(3, 450), PriceTier(10, 400)))
    assert [line.price_cents(packs) for packs in (1, 2, 3, 9, 10, 11)] == [500, 500, 450, 450, 400, 400]


def test_what_a_piece_stands_in_the_books_for() -> None:
    there = supply(stock=(StockLine("A", 1, unit_cost_cents=420),))
    assert (there.unit_cost_cents("A"), there.unit_cost_cents("B")) == (420, 0)


@pytest.mark.parametrize(
    ("per", "for_engine", "understood"),
    [("", False, True), ("Head", False, True), ("Pair", True, True), ("engine", True, True), ("hour", False, False)],
)
def test_what_a_price_of_work_is_for(per: str, for_engine: bool, understood: bool) -> None:
    service = Service("head cut", 4500, per)
    assert (service.is_for_engine, service.is_understood) == (for_engine, understood)


def test_a_round_opening_has_the_area_of_its_circle() -> None:
    """π/4 · 80² = 5026.548 mm²."""
    part = Part("HG", Kind.HEAD_GASKET, thickness_mm=0.6, opening_mm=80.0)
    assert part.opening_mm2 == pytest.approx(5026.548, abs=1e-3)
