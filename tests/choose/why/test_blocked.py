"""When nothing fits: what is said, worked out by hand."""

from __future__ import annotations

from datetime import timedelta

import pytest
from msgspec.structs import replace

from stackopt.choose.choice_records import Request
from stackopt.choose.why.blocked import blocked_cylinders
from stackopt.engine.engine_records import Cylinder, Engine, Window
from stackopt.engine.moving import Valve
from stackopt.parts.part_records import Kind, Offer, Part, PriceTier, StockLine, Supply
from tests.choose.situations import TODAY

# q of the thinnest pair: 0.41 + 0.25 + 0.50 = 1.16, 0.14 past the window.
CYLINDER = Cylinder("rear", 88.0, 82.0, 0.41, quench=Window(0.76, 1.02))
ENGINE = Engine("E", "A", (CYLINDER,), due=TODAY + timedelta(days=10))
PARTS = {
    part.number: part
    for part in (
        Part("B25", Kind.BASE_GASKET, thickness_mm=0.25),
        Part("B40", Kind.BASE_GASKET, thickness_mm=0.40),
        Part("H30", Kind.HEAD_GASKET, thickness_mm=0.30, opening_mm=89.0),
        Part("H50", Kind.HEAD_GASKET, thickness_mm=0.50, opening_mm=89.0),
    )
}
LATE = Offer("South", "H30", (PriceTier(1, 1900),), lead_days=35)
SUPPLY = Supply(PARTS, {number: StockLine(number, 1) for number in ("B25", "B40", "H50")}, (LATE,))


def answer(engine: Engine = ENGINE, supply: Supply = SUPPLY):
    (only,) = blocked_cylinders(Request((engine,), TODAY), supply, engine)
    return only


def test_the_nearest_miss_comes_first_with_its_distance() -> None:
    first, second = answer().near_misses
    assert (first.parts, second.parts) == (("B25", "H50"), ("B40", "H50"))
    assert first.quench_miss_mm == pytest.approx(0.14)
    assert second.quench_miss_mm == pytest.approx(0.29)


def test_the_head_gasket_to_ask_for_is_named_for_each_base_gasket() -> None:
    """H from 0.76 − 0.41 − B to 1.02 − 0.41 − B: 0.10 to 0.36 with B25, 0 (0.95 − 0.41 − 0.40 < 0) to 0.21 with B40."""
    thin, thick = answer().would_do
    assert thin.thickness_mm == (pytest.approx(0.10), pytest.approx(0.36))
    assert thick.thickness_mm == (pytest.approx(0.0), pytest.approx(0.21))
    assert thin.opening_mm == pytest.approx(89.0)


def test_a_head_gasket_for_both_cylinders_is_asked_for_as_it_does_on_both() -> None:
    """Front 0.20 below: 0.31 to 0.57 over B25, 0.16 to 0.42 over B40; rear over B25 0.10 to 0.36. So 0.16 to 0.36."""
    heads = {number: replace(part, covers=2) for number, part in PARTS.items() if part.kind is Kind.HEAD_GASKET}
    twin = replace(ENGINE, cylinders=(replace(CYLINDER, name="front", deck_height_mm=0.20), CYLINDER))
    thin, _ = answer(twin, replace(SUPPLY, parts={**PARTS, **heads})).would_do
    assert thin.thickness_mm == (pytest.approx(0.16), pytest.approx(0.36))
    assert [each.part.number for each in thin.listings] == ["H30"]


def test_a_part_that_would_do_but_comes_too_late_is_listed_with_its_offer() -> None:
    thin, thick = answer().would_do
    assert [(each.part.number, each.offers) for each in thin.listings] == [("H30", (LATE,))]
    assert thick.listings == ()


def test_the_smallest_deck_cut_lands_on_the_edge_of_the_window() -> None:
    cut = answer().deck_cut
    assert (cut.parts, cut.cut_mm, cut.quench_mm) == (("B25", "H50"), pytest.approx(0.14), pytest.approx(1.02))


def test_a_cut_never_helps_a_quench_that_is_too_small() -> None:
    low = replace(ENGINE, cylinders=(replace(CYLINDER, deck_height_mm=-0.5),))
    assert answer(low).deck_cut is None


def test_compression_limits_the_cut_and_the_thickness() -> None:
    """The window on the ratio is held at the answer: recomputed by hand from V_c = chamber + A·H + A_bore·(d + B).

    V_s = π/4·88²·82/1000 = 498.734 cc. With the window 9.5 to 10, V_c lies in 55.415 to 58.675 cc.
    """
    windows = replace(CYLINDER, chamber_volume_cc=52.0, compression=Window(9.5, 10.0))
    thin, _ = answer(replace(ENGINE, cylinders=(windows,))).would_do
    # 52 + 6.2211·H + 6.0821·0.66 = 56.014 + 6.2211·H <= 58.675, so H <= 0.428; quench asks for H <= 0.36.
    assert thin.thickness_mm == (pytest.approx(0.10), pytest.approx(0.36))
    smaller = replace(windows, chamber_volume_cc=54.0)
    thin, _ = answer(replace(ENGINE, cylinders=(smaller,))).would_do
    # 58.014 + 6.2211·H <= 58.675, so H <= 0.106.
    assert thin.thickness_mm == (pytest.approx(0.10), pytest.approx(0.106, abs=5e-4))


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ({"family": "Z"}, "no base gasket fits the engine family"),
        ({"opening_margin_mm": 1.5}, "no head gasket has an opening that clears the bore: the widest is 89.00 mm"),
        ({}, "none of 2 pairs of base and head gasket brings the quench into its window"),
    ],
)
def test_the_reason_names_the_first_rule_that_no_stack_passes(change: dict, words: str) -> None:
    parts = {number: replace(part, families=frozenset({"A"})) for number, part in PARTS.items()}
    assert words in answer(replace(ENGINE, **change), replace(SUPPLY, parts=parts)).reason


def test_parts_that_cannot_be_here_in_time_are_said_to_be_known() -> None:
    """Only H30 is left of the head gaskets, 35 days away, ten days allowed."""
    supply = replace(SUPPLY, stock={number: StockLine(number, 1) for number in ("B25", "B40")})
    assert "none is free on the shelf or can be here by 2027-03-11" in answer(ENGINE, supply).reason


def test_a_stack_that_lets_a_valve_come_too_near_is_never_chosen() -> None:
    """At B + H = 0.95 the intake clears by 2.0 mm; B40 + H50 = 0.90 clears 1.95, B25 + H50 = 0.75 clears 1.80.

    Common practice, no source: an intake valve clears by 0.080 in = 2.032 mm where nothing else is stated.
    """
    valve = Valve("intake", clearance_mm=2.0, at_stack_mm=0.95, angle_deg=0.0)
    cylinder = replace(CYLINDER, deck_height_mm=0.10, valves=(valve,))
    reason = answer(replace(ENGINE, cylinders=(cylinder,))).reason
    assert reason.startswith("2 pairs land in the windows, but none keeps the other limits. B25 + H50: intake valve")
    assert "1.800 mm, at least 2.032 mm" in reason
    clear = replace(cylinder, valves=(replace(valve, clearance_mm=2.2),))
    assert blocked_cylinders(Request((ENGINE,), TODAY), SUPPLY, replace(ENGINE, cylinders=(clear,))) == ()


def test_a_least_chance_is_a_rule() -> None:
    """B40 + H50 at a deck of 0.11 gives 1.01, 0.01 inside the window; a tolerance of 0.05 misses it four times in ten.

    One rectangular of half-width 0.05 about 1.01 and an edge at 1.02: (0.05 + 0.01) / 0.10 = 0.6.
    """
    parts = {**PARTS, "H50": replace(PARTS["H50"], tolerance_mm=0.05)}
    supply = replace(SUPPLY, parts=parts, stock={number: StockLine(number, 1) for number in ("B40", "H50")})
    cylinder = replace(CYLINDER, deck_height_mm=0.11)
    asked = replace(ENGINE, cylinders=(cylinder,), least_quench_chance=0.9)
    assert "landing in the quench window is 0.60, and 0.9 is asked for" in answer(asked, supply).reason
    content = replace(asked, least_quench_chance=0.6)
    assert blocked_cylinders(Request((content,), TODAY), supply, content) == ()
