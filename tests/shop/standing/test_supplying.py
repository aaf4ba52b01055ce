"""The ledger as a supply: all of it, or what may fit some families."""

from __future__ import annotations

import pytest
from msgspec.structs import replace

from stackopt.parts.part_records import ANY_FAMILY, Kind, Kit, Offer, Part, PriceTier, StockLine, Supplier, Supply
from stackopt.shop.ledger import Ledger
from tests.shop.situations import ANA, SHOP, from_shelf


def gasket(number: str, *families: str) -> Part:
    return Part(number, Kind.BASE_GASKET, frozenset(families), 0.5)


def offer(part: str, **facts: object) -> Offer:
    return replace(Offer("Varnik", part, (PriceTier(1, 100),)), **facts)  # type: ignore[arg-type]


PARTS = {
    part.number: part
    for part in (
        gasket("BG-A", "A"),
        gasket("BG-AB", "A", "B"),
        gasket("BG-B", "B"),
        gasket("BG-AA", "AA"),
        gasket("BG-any", ANY_FAMILY),
        gasket("BG-odd", "A%_"),
        Part("KIT-1", Kind.KIT),
        Part("KIT-2", Kind.KIT, frozenset({"A"})),
    )
}
KITS = {"KIT-1": Kit("KIT-1", {"BG-A": 1, "BG-B": 1, "screw": 4}), "KIT-2": Kit("KIT-2", {"BG-AA": 1})}
OFFERS = (offer("BG-A"), offer("BG-B"), offer("KIT-1"), offer("old", superseded_by="BG-A"), offer("BG-AA"))
STOCK = {number: StockLine(number, 2) for number in PARTS}
WHOLE = Supply(PARTS, STOCK, OFFERS, {"Varnik": Supplier("Varnik", 500)}, KITS)


@pytest.fixture
def stocked(ledger: Ledger) -> Ledger:
    ledger.load(WHOLE, ANA)
    return ledger


def test_parts_of_a_family_come_with_those_that_fit_any_and_with_kits_that_hold_one(stocked: Ledger) -> None:
    """BG-B comes along because a kit holds it; what fits AA alone does not fit A."""
    supply = stocked.supply(families={"A"})
    assert set(supply.parts) == {"BG-A", "BG-AB", "BG-any", "BG-B", "KIT-1"}
    assert set(supply.stock) == set(supply.parts)
    assert set(supply.kits) == {"KIT-1"}
    assert [each.part for each in supply.offers] == ["BG-A", "BG-B", "KIT-1", "old"]
    assert supply.suppliers == WHOLE.suppliers


def test_a_family_is_taken_as_it_is_written(stocked: Ledger) -> None:
    assert set(stocked.supply(families={"A%_"}).parts) == {"BG-odd", "BG-any"}
    assert set(stocked.supply(families={"Z"}).parts) == {"BG-any"}


def test_several_families_are_read_at_once(stocked: Ledger) -> None:
    assert set(stocked.supply(families={"A", "AA"}).parts) == set(PARTS) - {"BG-odd"}
    assert stocked.supply(families={"A", "AA", "A%_", "B"}) == stocked.supply()


def test_a_part_that_no_longer_fits_a_family_is_not_read_for_it(stocked: Ledger) -> None:
    stocked.load(replace(WHOLE, parts=PARTS | {"BG-AB": gasket("BG-AB", "B")}), ANA)
    assert "BG-AB" not in stocked.supply(families={"A"}).parts


def test_the_shelf_says_what_is_reserved(ledger: Ledger) -> None:
    ledger.load(SHOP, ANA)
    ledger.hold(*from_shelf("J-104"), ANA)
    line = ledger.supply(families={"A"}).stock["BG-040"]
    assert (line.on_hand, line.reserved, line.free) == (2, 2, 0)
