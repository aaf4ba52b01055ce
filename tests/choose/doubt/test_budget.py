"""Which input makes how much of the doubt, and which further reading helps most."""

from __future__ import annotations

import math

import pytest
from msgspec.structs import replace

from stackopt.choose.choice_records import FittedCylinder, Piece
from stackopt.choose.doubt.budget import Budget, cylinder_budget
from stackopt.engine.engine_records import Cylinder, Spread
from stackopt.parts.part_records import Kind, Part

READ = Spread(deck_mm=0.01, chamber_cc=0.2, chamber_limits_cc=(0.2 * math.sqrt(3),))
CYLINDER = Cylinder("front", 82.0, 78.0, 0.05, chamber_volume_cc=50.0, piston_volume_cc=3.0, spread=READ)
PARTS = {
    "B": Part("B", Kind.BASE_GASKET, thickness_mm=0.40, tolerance_mm=0.02 * math.sqrt(3)),
    "H": Part("H", Kind.HEAD_GASKET, thickness_mm=0.50, tolerance_mm=0.01 * math.sqrt(3), opening_mm=84.0),
}
FITTED = FittedCylinder("front", (Piece("B", Kind.BASE_GASKET), Piece("H", Kind.HEAD_GASKET)), 0.95, 8.9, 1.0, 0.0)


def shares(budget_shares) -> dict[str, float]:
    return {one.input: one.share for one in budget_shares}


def test_shares_of_the_quench_are_those_of_its_variance() -> None:
    """u = 0.02, 0.01 and 0.01 mm: 4, 1 and 1 of 6."""
    budget = cylinder_budget(CYLINDER, FITTED, PARTS)
    expected = {"base gasket": 4 / 6, "deck readings": 1 / 6, "head gasket": 1 / 6}
    assert shares(budget.quench) == pytest.approx(expected)
    assert budget.quench[0].input == "base gasket"


def test_shares_of_the_ratio_are_those_of_the_clearance_volume() -> None:
    """Bore 52.810 cm², opening 55.418 cm²: deck 0.0528, base 0.1056, head 0.0554 and chamber 0.2 cm³."""
    parts_cc = {"deck readings": 0.052810, "base gasket": 0.105621, "head gasket": 0.055418, "chamber volume": 0.2}
    whole = sum(part**2 for part in parts_cc.values())
    budget = cylinder_budget(CYLINDER, FITTED, PARTS)
    expected = {name: part**2 / whole for name, part in parts_cc.items()}
    assert shares(budget.ratio) == pytest.approx(expected, rel=1e-4)


def test_the_thick_doubt_is_what_helps_most_to_measure() -> None:
    most = cylinder_budget(CYLINDER, FITTED, PARTS).helps_most
    assert most is not None
    assert most.reading == "measure base gasket"
    assert most.after_mm < 0.75 * most.before_mm


def test_where_the_deck_is_the_doubt_reading_it_again_helps_most() -> None:
    """All of it scatter: after as many readings again the deck's part is 1/√2 of it."""
    loose = replace(CYLINDER, spread=Spread(deck_mm=0.1))
    most = cylinder_budget(loose, FITTED, PARTS).helps_most
    assert most is not None
    assert most.reading == "read the deck again"
    assert most.after_mm == pytest.approx(most.before_mm / math.sqrt(2), rel=0.05)


def test_nothing_helps_most_where_the_deck_was_never_read() -> None:
    assert cylinder_budget(replace(CYLINDER, spread=Spread()), FITTED, PARTS).helps_most is None


def test_where_nothing_is_known_the_budget_is_empty() -> None:
    exact = {number: replace(part, tolerance_mm=0.0) for number, part in PARTS.items()}
    assert cylinder_budget(replace(CYLINDER, spread=Spread()), FITTED, exact) == Budget((), (), None)
