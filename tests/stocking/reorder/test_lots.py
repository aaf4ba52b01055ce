"""Lots, against the textbooks' printed answers and against trying everything."""

from __future__ import annotations

import itertools
import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from stackopt.parts.part_records import Offer, PriceTier, Supplier
from stackopt.stocking.reorder.lots import (
    Cycle,
    Mover,
    cheapest_cycle,
    cheapest_packs,
    cycle_cost_cents,
    cycle_with_freight,
    lot_cost_cents,
)


def tiers(*breaks: tuple[int, int]) -> tuple[PriceTier, ...]:
    return tuple(PriceTier(*each) for each in breaks)


def test_economic_lot_of_harris() -> None:
    """Harris 1913 (from memory): 1,000 a month, 2 dollars an order, 0.10 a piece, a tenth a year → 2,190 (cut)."""
    mover = Mover(pieces_per_year=12_000, holding_cents=0.1 * 0.10)
    assert math.floor(cheapest_cycle(2.0, [mover]).lot(0, mover)) == 2190


def test_economic_lot_of_snyder_and_shen() -> None:
    """Snyder & Shen, 2nd ed., ex. 3.1: K 8, h 0.225, 1,300 a year → lot 304.05, cost 68.41."""
    mover = Mover(1300, 0.225)
    cycle = cheapest_cycle(8, [mover])
    assert cycle.lot(0, mover) == pytest.approx(304.05, abs=0.005)
    assert cycle_cost_cents(8, [mover], cycle) == pytest.approx(68.41, abs=0.005)


def yearly_by_trying(own_cents: float, terms: Supplier, mover: Mover, piece_cents: float) -> float:
    """Return the least that ordering and keeping one part cost a year, over lots of 0.1, 0.2, … pieces."""
    lots = [lot / 10 for lot in range(1, 5000)]
    over = terms.free_freight_over_cents

    def yearly(lot: float) -> float:
        freight_cents = 0 if over is not None and lot * piece_cents >= over else terms.freight_cents
        return (own_cents + freight_cents) * mover.pieces_per_year / lot + mover.holding_cents * lot / 2

    return min(map(yearly, lots))


@pytest.mark.parametrize(("over", "pieces"), [(3_000, 16.97), (12_000, 30), (20_000, 26.83), (40_000, 26.83)])
def test_a_lot_reaches_free_freight_where_that_costs_less(over: int, pieces: float) -> None:
    """24 a year at 4.00, kept for 1.00 a year: own work 6.00, freight 9.00.

    By hand: paid, √(2 · 15 · 24) = 26.83 pieces cost 26.83 a year; free, √(2 · 6 · 24) = 16.97 pieces (67.88 an order)
    cost 16.97, 30 pieces 4.80 + 15 = 19.80, but 50 pieces 2.88 + 25 = 27.88.
    """
    mover, terms = Mover(24, 100), Supplier("S", 900, over)
    cycle = cycle_with_freight(600, terms, [mover], 24 * 400)
    assert cycle.lot(0, mover) == pytest.approx(pieces, abs=0.005)
    paid_cents = 0 if cycle.lot(0, mover) * 400 >= over - 1e-6 else 900
    expected = yearly_by_trying(600, terms, mover, 400)
    assert cycle_cost_cents(600 + paid_cents, [mover], cycle) == pytest.approx(expected, rel=1e-3)


def test_all_units_discount_of_snyder_and_shen() -> None:
    """The same book, all-units discount: K 8, i 0.3, 0.75 / 0.72 / 0.68 from 0 / 400 / 800 → lot 800, cost 978.60."""
    offer = Offer("S", "P", tiers((1, 75), (400, 72), (800, 68)))
    packs = cheapest_packs(800, 1300, 0.3, offer)
    assert packs == 800
    assert lot_cost_cents(800, Mover(1300, 0.3 * 68), 68, packs) == pytest.approx(97_860)


def test_all_units_discount_of_nahmias() -> None:
    """Nahmias, trash bags (quoted): K 8, 600 a year, i 0.2, 0.30 / 0.29 / 0.28 from 0 / 500 / 1,000 → 500, 198.10."""
    offer = Offer("S", "P", tiers((1, 30), (500, 29), (1000, 28)))
    packs = cheapest_packs(800, 600, 0.2, offer)
    assert packs == 500
    assert lot_cost_cents(800, Mover(600, 0.2 * 29), 29, packs) == pytest.approx(19_810)


def test_joint_orders_of_silver_pyke_and_peterson() -> None:
    """One shared supplier charge: the book's heuristic gives multiples 1, 1, 4, 3 and 2067.65, here the optimum too.

    Inputs from memory: 40 an order, 15 a line, 0.24 a year; use at cost 86,000, 12,500, 1,400 and 3,000 a year.
    2067.65 = √(2 · 0.24 · (40 + 15·(1 + 1 + 1/4 + 1/3)) · (86,000 + 12,500 + 4·1,400 + 3·3,000)).
    """
    movers = [Mover(use, 0.24, 15) for use in (86_000, 12_500, 1_400, 3_000)]
    orders = 40 + 15 * (1 + 1 + 1 / 4 + 1 / 3)
    keeping = 0.24 / 2 * (86_000 + 12_500 + 4 * 1_400 + 3 * 3_000)
    book = Cycle(math.sqrt(orders / keeping), (1, 1, 4, 3))
    assert cycle_cost_cents(40, movers, book) == pytest.approx(2067.65, abs=0.005)
    ours = cheapest_cycle(40, movers)
    assert cycle_cost_cents(40, movers, ours) == pytest.approx(2067.65, abs=0.005)
    assert ours.multiples == (1, 1, 4, 3)


@given(
    order_cents=st.integers(1, 500),
    parts=st.lists(
        st.tuples(st.integers(1, 200), st.integers(1, 100), st.integers(0, 300)).map(lambda each: Mover(*each)),
        min_size=1,
        max_size=3,
    ),
)
@settings(max_examples=60)
def test_no_other_multiples_up_to_fourteen_are_cheaper(order_cents: int, parts: list[Mover]) -> None:
    """For fixed multiples the best cycle costs 2·√(orders · keeping): tried for all multiples from 1 to 14."""
    ours = cycle_cost_cents(order_cents, parts, cheapest_cycle(order_cents, parts))
    for multiples in itertools.product(range(1, 15), repeat=len(parts)):
        orders = order_cents + sum(part.line_cents / n for part, n in zip(parts, multiples, strict=True))
        keeping = sum(
            part.pieces_per_year * part.holding_cents / 2 * n for part, n in zip(parts, multiples, strict=True)
        )
        assert ours <= 2 * math.sqrt(orders * keeping) * (1 + 1e-9)


@given(
    fixed_cents=st.integers(1, 5000),
    pieces_per_year=st.floats(0.1, 200),
    pack=st.integers(1, 6),
    minimum_packs=st.integers(1, 4),
    breaks=st.lists(st.tuples(st.integers(2, 40), st.integers(1, 90)), max_size=2, unique_by=lambda each: each[0]),
)
@settings(max_examples=200)
def test_no_other_number_of_packs_is_cheaper(
    fixed_cents: int, pieces_per_year: float, pack: int, minimum_packs: int, breaks: list[tuple[int, int]]
) -> None:
    """Every number of packs up to 400 tried; prices fall at each break."""
    price, steps = 1000, [(1, 1000)]
    for start, fall in sorted(breaks):
        price -= fall
        steps.append((start, price))
    offer = Offer("S", "P", tiers(*steps), pack=pack, minimum_packs=minimum_packs)

    def cost(packs: int) -> float:
        piece_cents = offer.price_cents(packs) / pack
        return lot_cost_cents(fixed_cents, Mover(pieces_per_year, 0.25 * piece_cents), piece_cents, packs * pack)

    ours = cheapest_packs(fixed_cents, pieces_per_year, 0.25, offer)
    assert ours >= minimum_packs
    assert cost(ours) <= min(cost(packs) for packs in range(minimum_packs, 401)) * (1 + 1e-12)
