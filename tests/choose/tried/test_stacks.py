"""A stack in the hand is tried with every limit; a gap is told the piece that it needs."""

from __future__ import annotations

import pytest
from msgspec.structs import replace

from stackopt.choose.tried.heads import heads_needed
from stackopt.choose.tried.stacks import tried_stacks
from stackopt.engine.engine_records import Cylinder, Engine, Match, Window
from stackopt.engine.moving import PortSpan, Valve
from stackopt.parts.part_records import Kind, Offer, Part, PriceTier, StockLine, Supply

INCH = 25.4
BASE = Part("BG-020", Kind.BASE_GASKET, frozenset({"A"}), 0.508)
HEADS = {
    number: Part(number, Kind.HEAD_GASKET, frozenset({"A"}), thickness_mm, opening_mm=opening_mm)
    for number, thickness_mm, opening_mm in (
        ("HG-010", 0.254, 93.0),
        ("HG-020", 0.508, 93.0),
        ("HG-021", 0.533, 93.0),
        ("HG-030", 0.762, 93.0),
        ("HG-tight", 0.508, 80.0),
    )
}
OFFER = Offer("Quillhaven", "HG-021", (PriceTier(1, 3800),))
GONE = Offer("Quillhaven", "HG-010", (PriceTier(1, 3800),), discontinued=True)
SUPPLY = Supply(
    {"BG-020": BASE, **HEADS}, {n: StockLine(n, 1) for n in ("BG-020", "HG-020", "HG-030", "HG-tight")}, (OFFER, GONE)
)
FRONT = Cylinder("front", 92.0, 78.0, -0.127, 54.6, 3.1, quench=Window(0.762, 1.016, 0.889))
ENGINE = Engine("J-104", "A", (FRONT,))


def hand(engine: Engine = ENGINE, supply: Supply = SUPPLY, **pieces):
    return tried_stacks(engine, supply, pieces)


def test_the_head_gasket_that_lands_on_the_aim_and_all_that_are_inside():
    """0.005 in proud, base 0.020 in, aim 0.035 in: 0.035 − 0.020 + 0.005 = 0.020 in; 0.030 to 0.040 in: 0.015 to 0.025.

    0.381 and 0.635 mm. HG-030 at 0.762 is too thick, HG-tight does not clear the bore, HG-010 nobody sells any more.
    """
    (one,) = hand(front=(BASE, None))
    assert one.needs is not None
    assert (one.needs.role, one.needs.aim_mm) == (Kind.HEAD_GASKET, pytest.approx(0.508))
    assert one.needs.inside_mm == (pytest.approx((0.381, 0.635)),)
    assert [part.number for part in one.needs.listed] == ["HG-020", "HG-021"]
    assert (one.quench_mm, one.inside, one.free) == (pytest.approx(0.889), True, False)


def test_the_base_gasket_may_be_sought_as_well():
    (one,) = hand(front=(None, HEADS["HG-020"]))
    assert one.needs is not None
    assert (one.needs.role, one.needs.aim_mm) == (Kind.BASE_GASKET, pytest.approx(0.508))
    assert [part.number for part in one.needs.listed] == ["BG-020"]


def test_a_stack_that_does_and_one_that_does_not():
    (good,) = hand(front=(BASE, HEADS["HG-020"]))
    assert (good.inside, good.broken, good.free) == (True, (), True)
    (wide,) = hand(front=(BASE, HEADS["HG-030"]))
    assert wide.broken == ("quench 1.143 mm, above its window's 1.016 mm",)
    (tight,) = hand(front=(BASE, HEADS["HG-tight"]))
    assert tight.broken == ("HG-tight: not listed as one that has an opening that clears the bore",)


def test_a_plain_thickness_is_not_on_the_shelf():
    (one,) = hand(front=(BASE, Part("0.5 mm", Kind.HEAD_GASKET, thickness_mm=0.5)))
    assert (one.inside, one.free) == (True, False)


def test_two_cylinders_need_two_pieces():
    """One of each lies on the shelf."""
    twin = replace(ENGINE, cylinders=(FRONT, replace(FRONT, name="rear")))
    both = hand(twin, front=(BASE, HEADS["HG-020"]), rear=(BASE, HEADS["HG-020"]))
    assert [one.free for one in both] == [False, False]


def test_one_piece_for_both_is_counted_once_and_must_lie_on_both():
    shared = replace(HEADS["HG-020"], number="HG-both", covers=2)
    supply = replace(
        SUPPLY,
        parts={**SUPPLY.parts, "HG-both": shared},
        stock={"BG-020": StockLine("BG-020", 2), "HG-both": StockLine("HG-both", 1)},
    )
    twin = replace(ENGINE, cylinders=(FRONT, replace(FRONT, name="rear")))
    both = hand(twin, supply, front=(BASE, shared), rear=(BASE, shared))
    assert [(one.free, one.inside) for one in both] == [(True, True), (True, True)]
    apart = hand(twin, supply, front=(BASE, shared), rear=(BASE, HEADS["HG-020"]))
    assert apart[1].broken == ("HG-both covers all cylinders; this one has another in its place",)


def twin_with_one_piece_for_both(rear_mm: float) -> tuple[Engine, Supply, Part]:
    """A twin whose rear piston stands elsewhere, and a base gasket under both."""
    under = replace(BASE, number="BG-both", covers=2)
    stock = {number: StockLine(number, 2) for number in ("BG-both", "HG-020")}
    rear = replace(FRONT, name="rear", deck_height_mm=rear_mm)
    return replace(ENGINE, cylinders=(FRONT, rear)), Supply({**SUPPLY.parts, "BG-both": under}, stock, (OFFER,)), under


@pytest.mark.parametrize(("rear_mm", "does"), [(-0.127, True), (0.4, False)])
def test_a_piece_for_both_cylinders_must_leave_something_for_the_one_that_is_not_in_the_hand(rear_mm, does):
    """Rear 0.4 + 0.508 below the head: heads of 0.108 would do at most, the thinnest to be had is 0.508."""
    twin, supply, under = twin_with_one_piece_for_both(rear_mm)
    (one,) = hand(twin, supply, front=(under, HEADS["HG-020"]))
    assert one.broken == (() if does else ("BG-both goes on rear too, and no stack that can be had does there",))


def test_two_pieces_for_both_cylinders_decide_what_the_other_gets():
    """Rear: 0.2 + 0.508 + 0.508 = 1.216."""
    twin, supply, under = twin_with_one_piece_for_both(0.2)
    head = replace(HEADS["HG-020"], number="HG-both", covers=2)
    supply = replace(supply, parts={**supply.parts, "HG-both": head})
    (one,) = hand(twin, supply, front=(under, head))
    assert one.broken == ("BG-both and HG-both go on rear too: quench 1.216 mm, above its window's 1.016 mm",)


@pytest.mark.parametrize(("far_mm", "runs"), [(None, [(0.381, 0.535)]), (0.13, [(0.381, 0.535)]), (0.05, [])])
def test_a_head_gasket_for_both_cylinders_must_do_on_both(far_mm, runs):
    """Front 0.762 to 1.016 less −0.127 + 0.508: 0.381 to 0.635; rear less −0.027 + 0.508: 0.281 to 0.535.

    Whatever lies over both, the quenches stay 0.1 apart.
    """
    twin, supply, under = twin_with_one_piece_for_both(-0.027)
    heads = {f"{number}-2": replace(part, number=f"{number}-2", covers=2) for number, part in HEADS.items()}
    stock = {number: StockLine(number, 1) for number in ("BG-both", *heads)}
    supply = Supply({"BG-both": under, **heads}, stock)
    bound = replace(twin, match=Match(quench_mm=far_mm))
    for needs in (hand(bound, supply, front=(under, None))[0].needs, heads_needed(bound, supply)[1].needs):
        assert needs.inside_mm == tuple(pytest.approx(run) for run in runs)
        assert [part.number for part in needs.listed] == (["HG-020-2", "HG-021-2"] if runs else [])


def test_the_least_quench_over_the_band_must_be_inside_too():
    """Mean 0.889, tilt 0.41: 0.889 − 0.205 = 0.684, below 0.762."""
    askew = replace(ENGINE, cylinders=(replace(FRONT, tilt_mm=0.41),))
    (one,) = hand(askew, front=(BASE, HEADS["HG-020"]))
    assert one.broken == ("least quench over the band 0.684 mm, as the piston lies askew: below its window",)


def test_valves_chance_and_match_bind_the_piece_that_is_sought():
    """Valve 2.3 at a stack of 1.0, at least 2.2: the stack at least 0.9, the head at least 0.392.

    Within ± 0.05 mm of the aim of the other cylinder: its quench is 0.889, so 0.458 to 0.558.
    """
    valve = Valve("intake", 2.3, 1.0, least_mm=2.2)
    engine = replace(ENGINE, cylinders=(replace(FRONT, valves=(valve,)), replace(FRONT, name="rear")))
    (one,) = hand(engine, front=(BASE, None))
    assert one.needs is not None
    assert one.needs.inside_mm == (pytest.approx((0.392, 0.635)),)
    bound = replace(engine, match=Match(quench_mm=0.05))
    front, _ = hand(bound, front=(BASE, None), rear=(BASE, HEADS["HG-020"]))
    assert front.needs is not None
    assert front.needs.inside_mm == (pytest.approx((0.458, 0.558)),)


def test_two_stacks_that_do_not_match_are_told():
    engine = replace(
        ENGINE,
        cylinders=(FRONT, replace(FRONT, name="rear", deck_height_mm=-0.02)),
        match=Match(quench_mm=0.05),
        ports=PortSpan(60.0, 0.5, 0.2),
    )
    for one in hand(engine, front=(BASE, HEADS["HG-020"]), rear=(BASE, HEADS["HG-020"])):
        assert one.broken[0] == "the cylinders differ by 0.107 mm in quench, past the match of 0.05 mm"
        assert one.broken[1].startswith("change of the distance between the ports 0.516 mm")


def test_no_head_gasket_does_above_a_base_that_is_too_thick():
    thick = replace(BASE, thickness_mm=1.3)
    (one,) = hand(front=(thick, None))
    assert one.needs is not None
    assert (one.needs.aim_mm, one.needs.inside_mm, one.needs.listed) == (None, (), ())
    assert (one.inside, one.quench_mm) == (False, None)


def test_every_base_on_the_shelf_is_told_its_head_gasket():
    (only,) = heads_needed(ENGINE, SUPPLY)
    assert (only.cylinder, only.base) == ("front", ("BG-020",))
    assert only.needs.aim_mm == pytest.approx(0.508)


class Landed:
    """What comes out on a cylinder that is not in the hand."""

    def __init__(self, quench_mm: float) -> None:
        self.quench_mm, self.compression_ratio, self.lift_mm = quench_mm, None, 1.0


def test_a_cylinder_that_is_not_in_the_hand_counts_as_it_was_chosen():
    """Front 0.889 in the hand, rear chosen at 0.80: 0.089 apart, 0.05 allowed; the gap must land in 0.75 to 0.85."""
    engine = replace(ENGINE, cylinders=(FRONT, replace(FRONT, name="rear")), match=Match(quench_mm=0.05))
    (one,) = tried_stacks(engine, SUPPLY, {"front": (BASE, HEADS["HG-020"])}, {"rear": [Landed(0.80)]})
    (words,) = one.broken
    assert words == "the cylinders differ by 0.089 mm in quench, past the match of 0.05 mm (rear as it was chosen)"
    (one,) = tried_stacks(engine, SUPPLY, {"front": (BASE, None)}, {"rear": [Landed(0.80)]})
    assert one.needs.inside_mm == (pytest.approx((0.381, 0.85 - 0.381)),)
    both = {"front": (BASE, HEADS["HG-020"]), "rear": (BASE, HEADS["HG-020"])}
    assert all(one.inside for one in tried_stacks(engine, SUPPLY, both, {"rear": [Landed(0.80)]}))
