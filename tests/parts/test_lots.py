"""Deliveries that were measured: what one more piece of them is, and what holds where other pieces lie among them."""

from __future__ import annotations

import math

import pytest

from stackopt.parts.lots import Batch, lot_thickness, with_lots
from stackopt.parts.part_records import Kind, Part

LISTED = Part("BG-040", Kind.BASE_GASKET, frozenset({"A"}), 0.40, 0.03)


def test_one_reading_leaves_the_listed_scatter_twice_over() -> None:
    """s² = 0.03²/3; one piece tells the mean to ± s, another differs by s: 2 s², and the micrometer's 0.01²/3."""
    told = lot_thickness(Batch(4, (0.43,)), LISTED)
    assert told.mm == 0.43
    assert math.isclose(told.deviation_mm**2, 2 * 0.03**2 / 3 + 0.01**2 / 3)


def test_readings_that_agree_narrow_the_scatter() -> None:
    """Four alike: s² = (2 · 0.03²/3 + 0) / 5, times 1 + 1/4, and the micrometer's."""
    told = lot_thickness(Batch(10, (0.43, 0.43, 0.43, 0.43)), LISTED)
    assert math.isclose(told.deviation_mm**2, 2 * 0.03**2 / 3 / 5 * 1.25 + 0.01**2 / 3)


def test_a_shelf_of_one_measured_delivery_is_that_delivery() -> None:
    part = with_lots(LISTED, [Batch(4, (0.43, 0.44))])
    assert (part.thickness_mm, part.pieces_measured, part.only_measured) == (pytest.approx(0.435), 2, True)


def test_old_pieces_among_new_ones_widen_the_doubt_to_cover_both() -> None:
    """Two as listed at 0.40 and two measured at 0.44: the mean is 0.42, and each lies 0.02 from it."""
    lot = lot_thickness(Batch(2, (0.44, 0.44)), LISTED)
    part = with_lots(LISTED, [Batch(2), Batch(2, (0.44, 0.44))])
    assert math.isclose(part.thickness_mm, 0.42)
    variance = (0.03**2 / 3 + lot.deviation_mm**2) / 2 + 0.02**2
    assert math.isclose(part.tolerance_mm, math.sqrt(3 * variance))
    assert not part.only_measured


def test_pieces_that_would_be_ordered_count_as_listed() -> None:
    part = with_lots(LISTED, [Batch(1, (0.43,))], others=1)
    assert (part.thickness_mm, part.only_measured) == (pytest.approx(0.415), False)


@pytest.mark.parametrize("lots", [[], [Batch(3)]])
def test_where_nothing_was_measured_the_list_holds(lots: list[Batch]) -> None:
    assert with_lots(LISTED, lots, others=2) is LISTED
