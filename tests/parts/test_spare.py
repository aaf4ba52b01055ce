"""Lines that could fill an order: as few as reach every sum, found again by trying."""

from __future__ import annotations

import random

import pytest

from stackopt.choose.model.fillers import fillers_up_to
from stackopt.parts.part_records import Offer, PriceTier, Supplier, Supply
from stackopt.parts.sources import Source
from stackopt.parts.spare import spare_limits, spare_lines, telling_prices

LIMIT = 2500


def lines(seed: int, supplier: str = "North") -> list[Offer]:
    rng = random.Random(seed)
    found = []
    for number in range(rng.choice([1, 5, 40])):
        price = rng.randrange(30, 900)
        breaks = (PriceTier(rng.choice([2, 3]), price * 8 // 10),) if rng.random() < 0.2 else ()
        found.append(
            Offer(
                supplier,
                f"X{number:02}",
                (PriceTier(1, price), *breaks),
                minimum_packs=rng.choice([1, 1, 1, 2]),
                special_order=rng.random() < 0.1,
                discontinued=rng.random() < 0.1,
                superseded_by="Y" if rng.random() < 0.05 else "",
            )
        )
    return found


def sums(offers: list[Offer]) -> int:
    return fillers_up_to(LIMIT, Supplier("North"), [Source(offer, {offer.part: 1}) for offer in offers]).reached


@pytest.mark.parametrize("seed", range(60))
def test_fewer_lines_reach_the_same_sums(seed: int) -> None:
    sold = [each for each in lines(seed) if not (each.special_order or each.discontinued or each.superseded_by)]
    kept = spare_lines(lines(seed), {"North": 10_000})
    assert sums(list(kept)) == sums(sold)
    assert set(kept) <= set(sold)


@pytest.mark.parametrize("seed", range(20))
def test_the_order_of_lines_does_not_matter(seed: int) -> None:
    shuffled = lines(seed)
    random.Random(seed).shuffle(shuffled)
    assert set(spare_lines(shuffled, {"North": 10_000})) == set(spare_lines(lines(seed), {"North": 10_000}))


def test_a_price_that_cheaper_ones_come_to_tells_nothing() -> None:
    """3 + 3 + 5 = 11, 5 + 5 = 10 and 3 + 5 = 8; 7 is no sum of threes and fives."""
    assert telling_prices([3, 5, 7, 8, 10, 11]) == {3, 5, 7}
    assert telling_prices([]) == set()


def test_a_line_pays_below_the_freight_or_at_any_price_where_an_order_has_a_minimum() -> None:
    terms = {
        "FREE": Supplier("FREE", 900, 5000),
        "LEAST": Supplier("LEAST", 900, None, 5000),
        "PLAIN": Supplier("PLAIN", 900),
        "WAIVED": Supplier("WAIVED", 0, 5000),
    }
    offers = tuple(Offer(name, "X", (PriceTier(1, 900),)) for name in [*terms, "UNKNOWN"])
    limits = spare_limits(Supply(offers=offers, suppliers=terms))
    assert limits == {"FREE": 900, "LEAST": float("inf")}
    assert [offer.supplier for offer in spare_lines(offers, limits)] == ["LEAST"]
