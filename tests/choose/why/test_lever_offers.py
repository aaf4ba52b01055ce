"""What levers would do, against sums by hand; each cylinder small enough to see the answer."""

from __future__ import annotations

import pytest
from msgspec.structs import replace

from stackopt.choose.choice_records import Request
from stackopt.choose.solve.plan import plan
from stackopt.choose.why.lever_offers import QUENCH_AIM, WINDOWS, LeverOffer, lever_offers
from stackopt.engine.engine_records import Cylinder, Engine, Levers, Match, Spread, Window
from stackopt.engine.geometry import circle_area_mm2
from stackopt.engine.moving import PortSpan, Valve
from stackopt.parts.part_records import Kind, Offer, Part, PriceTier, Service, StockLine, Supply
from tests.choose.situations import TODAY

PARTS = {
    part.number: part
    for part in (
        Part("B40", Kind.BASE_GASKET, thickness_mm=0.40),
        Part("B50", Kind.BASE_GASKET, thickness_mm=0.50),
        Part("H50", Kind.HEAD_GASKET, thickness_mm=0.50, opening_mm=83.0),
    )
}
STOCK = {number: StockLine(number, 2) for number in PARTS}
SUPPLY = Supply(PARTS, STOCK, services={"deck cut": Service("deck cut", 4500, "cylinder")})
WINDOW = Window(0.76, 1.02, 0.89)
# 0.20 + 0.40 + 0.50 = 1.10 mm with the thinner base gasket.
TALL = Cylinder("front", 82.0, 78.0, 0.20, quench=WINDOW, chamber_opening_mm2=circle_area_mm2(82.0))


def offers(engine: Engine, supply: Supply = SUPPLY) -> dict[tuple[str, str, str], LeverOffer]:
    request = Request((engine,), TODAY)
    found = lever_offers(request, supply, plan(request, supply))[engine.name]
    return {(one.cylinder, one.lever, one.reaches): one for one in found}


def test_a_blocked_cylinder_is_told_the_least_over_all_pairs() -> None:
    """1.10 − 1.02 = 0.08 mm and 1.10 − 0.89 = 0.21 mm with B40; B50 would need 0.10 mm more."""
    found = offers(Engine("E", "A", (TALL,)))
    least = found["front", "deck cut", WINDOWS]
    assert (least.amount_mm, least.price_cents, least.parts) == (pytest.approx(0.08), 4500, ("B40", "H50"))
    aim = found["front", "deck cut", QUENCH_AIM]
    assert aim.amount_mm == pytest.approx(0.21)
    assert aim.effect is not None
    assert (aim.effect.quench_mm, aim.effect.inside) == (pytest.approx(0.89), True)


def test_a_lever_that_does_not_reach_says_so() -> None:
    """A head cut leaves the quench of a flush band as it is, a spacer widens it."""
    found = offers(Engine("E", "A", (TALL,), levers=Levers(spacer_mm=0.7)))
    for lever, most_mm in (("head cut", 10.0), ("spacer", 0.7)):
        none = found["front", lever, WINDOWS]
        assert (none.amount_mm, none.effect, none.most_mm) == (None, None, most_mm)


def test_a_finished_cylinder_is_told_of_the_gaskets_chosen_for_it() -> None:
    """0.05 + 0.40 + 0.50 = 0.95 mm is inside as it is; 0.06 mm less is the aim."""
    found = offers(Engine("E", "A", (replace(TALL, deck_height_mm=0.05),)))
    assert found["front", "deck cut", WINDOWS].amount_mm == 0
    assert found["front", "deck cut", QUENCH_AIM].amount_mm == pytest.approx(0.06)


def test_the_effect_names_what_else_moves() -> None:
    """A valve measured with 1.10 mm of gaskets at 2.30 mm: the stack 0.90 mm, less 0.06 mm cut, leave 2.04 mm."""
    valve = Valve("intake", 2.30, at_stack_mm=1.10, least_mm=2.0)
    found = offers(Engine("E", "A", (replace(TALL, deck_height_mm=0.05, valves=(valve,)),)))
    aim = found["front", "deck cut", QUENCH_AIM]
    assert aim.effect is not None
    (figure,) = aim.effect.moved
    assert (figure.value, figure.within, aim.effect.inside) == (pytest.approx(2.04), True, True)


def test_what_breaks_a_limit_is_no_offer() -> None:
    """The same cut leaves 2.04 mm where 2.05 is the least; and of 0.13 mm each way a chance of 0.95 is asked."""
    valve = Valve("intake", 2.30, at_stack_mm=1.10, least_mm=2.05)
    found = offers(Engine("E", "A", (replace(TALL, deck_height_mm=0.05, valves=(valve,)),)))
    assert ("front", "deck cut", QUENCH_AIM) not in found


def test_the_least_chance_is_asked_of_a_lever_as_well() -> None:
    """Quench 1.10, at most 1.02; with σ = 0.03 a chance of 0.95 takes 1.645 σ = 0.049 mm more than 0.08."""
    unsure = replace(TALL, spread=Spread(deck_mm=0.03))
    found = offers(Engine("E", "A", (unsure,), least_quench_chance=0.95))
    assert found["front", "deck cut", WINDOWS].amount_mm == pytest.approx(0.08 + 1.645 * 0.03, abs=2e-4)


def test_the_match_is_asked_of_a_lever_as_well() -> None:
    """The other was finished at 0.05 + 0.40 + 0.50 = 0.95 mm: a match of 0.05 allows 0.90 at the least, not the aim."""
    near = replace(TALL, deck_height_mm=0.05)
    found = offers(Engine("E", "A", (near, replace(near, name="rear")), match=Match(quench_mm=0.05)))
    assert ("front", "deck cut", QUENCH_AIM) not in found


def test_a_head_of_which_the_mouth_is_not_known_is_not_offered() -> None:
    found = offers(Engine("E", "A", (replace(TALL, chamber_opening_mm2=None),)))
    assert not any(lever == "head cut" for _, lever, _ in found)


def test_the_ports_of_a_v_move_when_one_cylinder_is_cut() -> None:
    """The other stays where its manifold fitted: the ports come 0.06 · sin 22.5° = 0.023 mm nearer."""
    cylinders = tuple(replace(TALL, name=name, deck_height_mm=0.05) for name in ("front", "rear"))
    found = offers(Engine("E", "A", cylinders, ports=PortSpan(45.0, at_stack_mm=0.90)))
    ports = found["rear", "deck cut", QUENCH_AIM].ports
    assert ports is not None
    assert ports.value == pytest.approx(-0.02296, abs=1e-5)


def test_pistons_are_offered_with_their_price() -> None:
    """A taller one from the list: 0.21 mm nearer lands on the aim with B40."""
    piston = Part("P1", Kind.PISTON, crown_volume_cc=3.0, compression_height_mm=30.21)
    supply = replace(SUPPLY, parts=PARTS | {"P1": piston}, offers=(Offer("North", "P1", (PriceTier(1, 4600),)),))
    engine = Engine("E", "A", (replace(TALL, compression_height_mm=30.0),))
    told = offers(engine, supply)["front", "piston", WINDOWS]
    assert (told.price_cents, told.parts) == (4600, ("P1", "B40", "H50"))
    assert told.effect is not None
    assert (told.effect.quench_mm, told.effect.inside) == (pytest.approx(0.89), True)
    on_shelf = replace(supply, stock=STOCK | {"P1": StockLine("P1", 1)})
    assert offers(engine, on_shelf)["front", "piston", WINDOWS].price_cents == 0
