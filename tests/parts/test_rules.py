"""Each rule on one part lets through what it should, to the edge, and holds back the rest."""

from __future__ import annotations

import math

import pytest

from stackopt.engine.engine_records import Cylinder, Engine
from stackopt.parts.part_records import ANY_FAMILY, Kind, Part
from stackopt.parts.rules import RULES, may_go_on, opening_mm2

FRONT, REAR = Cylinder("front", 82.0, 78.0, 0.0), Cylinder("rear", 82.0, 78.0, 0.0)
TWIN = Engine("HC-11", "KV82", (FRONT, REAR), opening_margin_mm=0.5)
PLAIN = Part("HG", Kind.HEAD_GASKET, frozenset({"KV82"}), thickness_mm=0.6)


def broken_by(part: Part, cylinder: Cylinder = FRONT, engine: Engine = TWIN) -> list[str]:
    return [rule.name for rule in RULES if not rule.passes(part, engine, cylinder)]


@pytest.mark.parametrize(
    ("families", "fits"), [({"KV82"}, True), ({"PT72", "KV82"}, True), ({ANY_FAMILY}, True), ({"PT72"}, False)]
)
def test_a_part_goes_on_its_families(families: set[str], fits: bool) -> None:
    part = Part("B", Kind.BASE_GASKET, frozenset(families), thickness_mm=0.4)
    assert broken_by(part) == ([] if fits else ["fits the engine family"])


@pytest.mark.parametrize(("covers", "fits"), [(1, True), (2, True), (3, False), (4, False)])
def test_one_piece_covers_one_cylinder_or_all(covers: int, fits: bool) -> None:
    part = Part("B", Kind.BASE_GASKET, frozenset({"KV82"}), thickness_mm=0.4, covers=covers)
    assert broken_by(part) == ([] if fits else ["covers the right number of cylinders"])


@pytest.mark.parametrize(("position", "fits"), [("", True), ("front", True), ("Front", True), ("rear", False)])
def test_a_part_for_one_position_goes_there_alone(position: str, fits: bool) -> None:
    part = Part("B", Kind.BASE_GASKET, frozenset({"KV82"}), thickness_mm=0.4, position=position)
    assert broken_by(part) == ([] if fits else ["fits the cylinder's position"])


@pytest.mark.parametrize(("opening_mm", "fits"), [(82.5, True), (82.4999, False), (82.0, False), (90.0, True)])
def test_an_opening_clears_the_bore_by_the_margin_to_the_edge(opening_mm: float, fits: bool) -> None:
    """Bore 82.0 and margin 0.5 on the diameter: at least 82.5 mm."""
    part = Part("HG", Kind.HEAD_GASKET, frozenset({"KV82"}), thickness_mm=0.6, opening_mm=opening_mm)
    assert broken_by(part) == ([] if fits else ["has an opening that clears the bore"])


@pytest.mark.parametrize(("more_mm2", "fits"), [(0.0, True), (1.0, True), (-1.0, False)])
def test_an_opening_that_is_not_round_is_held_against_the_circle(more_mm2: float, fits: bool) -> None:
    least_mm2 = math.pi / 4 * 82.5**2
    part = Part("HG", Kind.HEAD_GASKET, frozenset({"KV82"}), thickness_mm=0.6, opening_mm2=least_mm2 + more_mm2)
    assert broken_by(part) == ([] if fits else ["has an opening that clears the bore"])


def test_an_opening_that_is_not_stated_passes_and_counts_as_the_bore() -> None:
    assert broken_by(PLAIN) == []
    assert opening_mm2(PLAIN, FRONT) == pytest.approx(math.pi / 4 * 82.0**2)


def test_a_base_gasket_has_no_opening_to_look_at() -> None:
    part = Part("B", Kind.BASE_GASKET, frozenset({"KV82"}), thickness_mm=0.4, opening_mm=10.0)
    assert broken_by(part) == []


def test_a_part_that_breaks_any_rule_may_not_go_on() -> None:
    assert may_go_on(PLAIN, TWIN, FRONT)
    assert not may_go_on(Part("B", Kind.BASE_GASKET, frozenset({"X"}), thickness_mm=0.4), TWIN, FRONT)
    assert not may_go_on(Part("B", Kind.BASE_GASKET, thickness_mm=0.4, covers=3), TWIN, FRONT)
