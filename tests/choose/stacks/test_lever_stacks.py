"""Cuts, spacers and pistons chosen in the model: against sums by hand, and against trying a grid of depths."""

from __future__ import annotations

import itertools
import math
import random

import pytest
from msgspec.structs import replace

from stackopt.choose.choice_records import Request, Status
from stackopt.choose.solve.plan import plan
from stackopt.choose.stacks.candidates import candidate_stacks
from stackopt.engine.engine_records import Cylinder, Engine, Levers, Match, Window
from stackopt.engine.geometry import circle_area_mm2
from stackopt.engine.levers.lever import Lever
from stackopt.parts.part_records import Kind, Offer, Part, PriceTier, Service, StockLine, Supply
from tests.choose.situations import TODAY
from tests.full import usual_or_full

BASE = Part("B40", Kind.BASE_GASKET, thickness_mm=0.40, tolerance_mm=0.02)
HEAD = Part("H50", Kind.HEAD_GASKET, thickness_mm=0.50, opening_mm=83.0, tolerance_mm=0.02)
WINDOW = Window(0.76, 1.02, 0.89)
# 0.20 + 0.40 + 0.50 = 1.10 mm: 0.08 mm past the window, 0.21 mm from its aim.
# The chamber's mouth is as wide as the bore, and measured: else no head would be cut.
TALL = Cylinder("front", 82.0, 78.0, 0.20, quench=WINDOW, chamber_opening_mm2=circle_area_mm2(82.0))
SERVICES = {name: Service(name, cents) for name, cents in (("head cut", 3800), ("deck cut", 4500))}


def supply(*parts: Part, pieces: int = 2, offers: tuple[Offer, ...] = (), services=SERVICES) -> Supply:
    offered = {offer.part for offer in offers}
    stock = {part.number: StockLine(part.number, pieces) for part in parts if part.number not in offered}
    return Supply({part.number: part for part in parts}, stock, offers, services=services)


def choose(engine: Engine, there: Supply, *prefer: str):
    choice = plan(Request((engine,), TODAY, prefer), there)
    assert choice.status is Status.PROVEN
    return choice


def amounts(fitted) -> dict[str, float]:
    return {str(work.lever): work.amount_mm for work in fitted.work}


def test_without_leave_nothing_is_cut() -> None:
    assert choose(Engine("E", "A", (TALL,)), supply(BASE, HEAD)).blocked


def test_a_deck_cut_lands_on_the_aim_and_is_paid() -> None:
    """1.10 − 0.89 = 0.21 mm; one cut at 45.00."""
    choice = choose(Engine("E", "A", (TALL,), levers=Levers(deck_cut_mm=0.5)), supply(BASE, HEAD))
    (front,) = choice.engines[0].cylinders
    assert (amounts(front), front.quench_mm) == ({"deck cut": pytest.approx(0.21)}, pytest.approx(0.89))
    assert choice.spend_cents == {each.objective: each.value for each in choice.passes}["spend"] == 4500


def test_least_metal_first_cuts_only_into_the_window() -> None:
    """1.10 − 1.02 = 0.08 mm."""
    choice = choose(Engine("E", "A", (TALL,), levers=Levers(deck_cut_mm=0.5)), supply(BASE, HEAD), "metal")
    (front,) = choice.engines[0].cylinders
    assert (amounts(front), front.quench_mm) == ({"deck cut": pytest.approx(0.08)}, pytest.approx(1.02))


def test_a_part_that_costs_less_than_the_cut_is_bought_instead() -> None:
    """0.20 + 0.20 + 0.50 = 0.90 mm with a base gasket of 0.20 mm at 12.00; the cut costs 45.00."""
    thin = replace(BASE, number="B20", thickness_mm=0.20)
    there = supply(BASE, HEAD, thin, offers=(Offer("North", "B20", (PriceTier(1, 1200),)),))
    engine = Engine("E", "A", (TALL,), levers=Levers(deck_cut_mm=0.5))
    choice = choose(engine, there)
    assert (choice.engines[0].cylinders[0].work, choice.spend_cents) == ((), 1200)
    dear = replace(there, offers=(Offer("North", "B20", (PriceTier(1, 5200),)),))
    assert choose(engine, dear).spend_cents == 4500


def test_a_spacer_opens_the_quench() -> None:
    """−0.40 + 0.40 + 0.50 = 0.50 mm; 0.39 mm more is the aim."""
    low = replace(TALL, deck_height_mm=-0.40)
    choice = choose(Engine("E", "A", (low,), levers=Levers(spacer_mm=1.0)), supply(BASE, HEAD))
    (front,) = choice.engines[0].cylinders
    assert (amounts(front), front.quench_mm) == ({"spacer": pytest.approx(0.39)}, pytest.approx(0.89))
    assert front.work[0].price_cents is None


def test_a_piston_is_bought_like_any_part() -> None:
    """0.21 mm taller from pin to flat: 1.10 − 0.21 = 0.89 mm."""
    piston = Part("P1", Kind.PISTON, crown_volume_cc=3.0, compression_height_mm=30.21)
    there = supply(BASE, HEAD, piston, offers=(Offer("North", "P1", (PriceTier(1, 4600),)),))
    known = replace(TALL, compression_height_mm=30.0)
    choice = choose(Engine("E", "A", (known,), levers=Levers(pistons=True)), there)
    (front,) = choice.engines[0].cylinders
    assert [piece.part for piece in front.pieces] == ["P1", "B40", "H50"]
    assert (front.quench_mm, choice.spend_cents) == (pytest.approx(0.89), 4600)
    assert choose(Engine("E", "A", (TALL,), levers=Levers(pistons=True)), there).blocked


def test_a_face_that_goes_across_both_cylinders_is_cut_alike_and_paid_once() -> None:
    """Decks 0.20 and 0.26 mm: cuts between 0.14 mm, where the rear is at 1.02, and 0.34 mm, where the front is at 0.76.

    The distances from the aim add up to 0.06 mm for every cut from 0.21 to 0.27 mm; the least metal is 0.21 mm on each.
    """
    both = [replace(part, covers=2) for part in (BASE, HEAD)]
    rear = replace(TALL, name="rear", deck_height_mm=0.26)
    engine = Engine("E", "A", (TALL, rear), levers=Levers(deck_cut_mm=0.5))
    choice = choose(engine, supply(*both))
    first, second = choice.engines[0].cylinders
    assert amounts(first) == amounts(second) == {"deck cut": pytest.approx(0.21)}
    assert (choice.spend_cents, first.work[0].price_cents, second.work[0].price_cents) == (4500, 4500, 0)
    assert first.work[0].shared


@pytest.mark.parametrize(
    ("per", "spend_cents", "prices"),
    [("head", 9000, [4500, 4500]), ("", 9000, [4500, 4500]), ("Engine", 4500, [4500, 0]), ("pair", 4500, [4500, 0])],
)
def test_a_price_is_paid_for_each_cylinder_or_once_for_the_engine_as_it_says(
    per: str, spend_cents: int, prices: list[int]
) -> None:
    """Each deck is cut by itself, to another depth: two cuts at 45.00, or 45.00 for both."""
    rear = replace(TALL, name="rear", deck_height_mm=0.26)
    engine = Engine("E", "A", (TALL, rear), levers=Levers(deck_cut_mm=0.5))
    choice = choose(engine, supply(BASE, HEAD, services={"deck cut": Service("deck cut", 4500, per)}))
    cylinders = choice.engines[0].cylinders
    assert [amounts(one)["deck cut"] for one in cylinders] == [pytest.approx(0.21), pytest.approx(0.27)]
    assert [one.work[0].price_cents for one in cylinders] == prices
    assert choice.spend_cents == {each.objective: each.value for each in choice.passes}["spend"] == spend_cents


def test_a_price_for_the_engine_is_paid_with_the_cylinder_that_is_worked_on() -> None:
    """The front lands on the aim as it is, 0.89 mm; the rear alone is cut, by 0.21 mm."""
    front, rear = replace(TALL, deck_height_mm=-0.01), replace(TALL, name="rear")
    engine = Engine("E", "A", (front, rear), levers=Levers(deck_cut_mm=0.5))
    services = {"deck cut": Service("deck cut", 4500, "engine")}
    first, second = choose(engine, supply(BASE, HEAD, services=services)).engines[0].cylinders
    assert (first.work, second.work[0].price_cents) == ((), 4500)


@pytest.mark.parametrize(("per", "spend_cents"), [("cylinder", 6400), ("engine", 4500)])
def test_cuts_at_one_price_for_the_engine_are_weighed_against_parts_as_such(per: str, spend_cents: int) -> None:
    """Two base gaskets of 0.20 mm at 32.00 are 64.00: less than two cuts at 45.00 each, more than 45.00 for both."""
    thin = replace(BASE, number="B20", thickness_mm=0.20)
    offers = (Offer("North", "B20", (PriceTier(1, 3200),)),)
    services = {"deck cut": Service("deck cut", 4500, per)}
    engine = Engine("E", "A", (TALL, replace(TALL, name="rear")), levers=Levers(deck_cut_mm=0.5))
    assert choose(engine, supply(BASE, HEAD, thin, offers=offers, services=services)).spend_cents == spend_cents


def test_the_least_chance_is_kept_after_a_cut() -> None:
    """Tolerances of ± 0.02 mm each add up to a triangle of ± 0.04 mm around the quench.

    At 0.9, a tenth of it lies past the window's end: (0.04 − x)²/(2·0.04²) = 0.1 at x = 0.04·(1 − √0.2) = 0.0221 mm.
    """
    engine = Engine("E", "A", (TALL,), levers=Levers(deck_cut_mm=0.5), least_quench_chance=0.9)
    (front,) = choose(engine, supply(BASE, HEAD), "metal").engines[0].cylinders
    assert amounts(front)["deck cut"] == pytest.approx(0.08 + 0.04 * (1 - math.sqrt(0.2)), abs=1e-6)
    assert front.chance_in_window == pytest.approx(0.9, abs=1e-6)


def test_nothing_is_proposed_twice() -> None:
    engine = Engine("E", "A", (TALL,), levers=Levers(0.4, 0.5, 0.3))
    stacks = candidate_stacks(engine, 0, [BASE, HEAD], SERVICES)
    seen = [(stack.names, tuple(round(work.amount_mm, 6) for work in stack.work)) for stack in stacks]
    assert len(seen) == len(set(seen))
    assert all({Lever.DECK_CUT, Lever.SPACER} - {work.lever for work in stack.work} for stack in stacks)


def by_grid(cylinder: Cylinder, levers: Levers, parts: list[Part], step_mm: float):
    """Yield (cents, distance, metal) of every pair and every depth of a grid that lands in both windows."""
    bases, heads = ([part for part in parts if part.kind is kind] for kind in (Kind.BASE_GASKET, Kind.HEAD_GASKET))
    bore = math.pi / 4 * cylinder.bore_mm**2
    depths = [
        [step_mm * n for n in range(round(most / step_mm) + 1)] for most in (levers.head_cut_mm, levers.deck_cut_mm)
    ]
    for base, head, cut, lower in itertools.product(bases, heads, *depths):
        quench = cylinder.deck_height_mm - lower + base.thickness_mm + head.thickness_mm
        opening = math.pi / 4 * head.opening_mm**2
        clearance = cylinder.chamber_volume_cc - bore * cut / 1000 - cylinder.piston_volume_cc
        clearance += (opening * head.thickness_mm + bore * (cylinder.deck_height_mm - lower + base.thickness_mm)) / 1000
        ratio = 1 + bore * cylinder.stroke_mm / 1000 / clearance
        windows = ((cylinder.quench, quench), (cylinder.compression, ratio))
        if all(window.low - 1e-9 <= value <= window.high + 1e-9 for window, value in windows):
            distance = sum(abs(value - window.aim) / ((window.high - window.low) / 2) for window, value in windows)
            yield 3800 * (cut > 0) + 4500 * (lower > 0), distance, cut + lower


@pytest.mark.parametrize("seed", range(usual_or_full(10, 40, whole=30)))
def test_no_depth_of_a_grid_beats_the_choice(seed: int) -> None:
    """Money, distance, metal in three orders: what the model proves is never worse than the best of all grid depths."""
    rng = random.Random(seed)
    parts = [replace(BASE, number=f"B{n}", thickness_mm=rng.choice([0.25, 0.3, 0.4, 0.5])) for n in range(2)]
    parts += [replace(HEAD, number=f"H{n}", thickness_mm=rng.choice([0.4, 0.5, 0.6])) for n in range(2)]
    cylinder = replace(
        TALL,
        deck_height_mm=rng.choice([0.0, 0.1, 0.2, 0.3]),
        chamber_volume_cc=rng.choice([46.0, 48.0, 50.0]),
        piston_volume_cc=3.0,
        compression=Window(9.2, 9.8, rng.choice([None, 9.7])),
    )
    levers = Levers(rng.choice([0.3, 0.8]), rng.choice([0.2, 0.4]))
    tried = list(by_grid(cylinder, levers, parts, 0.02))
    engine = Engine("E", "A", (cylinder,), levers=levers)
    for names in itertools.permutations(("spend", "closeness", "metal")):
        choice = choose(engine, supply(*parts), *names)
        reached = {each.objective: each.value for each in choice.passes}
        if reached["blocked"]:
            assert not tried
            continue
        positions = [("spend", "closeness", "metal").index(name) for name in names]
        best = min((tuple(one[position] for position in positions) for one in tried), default=None)
        for name, theirs in zip(names, best or (), strict=False):
            assert reached[name] <= theirs + 3e-6, (names, name)
            if reached[name] < theirs - 3e-6:
                break


def test_a_cylinder_answers_what_the_other_it_must_match_can_reach() -> None:
    """0.20 mm cut off the rear leave 0.28 + 0.90 − 0.20 = 0.98 mm; the front comes to 0.93 mm, 0.05 mm from it.

    By itself it would come to 1.10 − 0.20 = 0.90 mm, nearer to the aim of 0.89 and 0.08 mm from the rear.
    """
    rear = replace(TALL, name="rear", deck_height_mm=0.28)
    engine = Engine("E", "A", (TALL, rear), levers=Levers(deck_cut_mm=0.2), match=Match(quench_mm=0.05))
    choice = plan(Request((engine,), TODAY, ("closeness",)), supply(BASE, HEAD))
    front, back = choice.engines[0].cylinders
    assert (amounts(front), amounts(back)) == (
        {"deck cut": pytest.approx(0.17)},
        {"deck cut": pytest.approx(0.20)},
    )
    # Not proven: without the match the distances would be 0.01 and 0.09 mm, in half-widths of 0.13 mm.
    (closeness,) = [each for each in choice.passes if each.objective == "closeness"]
    assert choice.status is Status.BEST_FOUND
    assert (closeness.value, closeness.bound) == (pytest.approx(0.13 / 0.13), pytest.approx(0.10 / 0.13))


def test_a_match_that_stands_in_nobodys_way_leaves_the_proof_whole() -> None:
    rear = replace(TALL, name="rear", deck_height_mm=0.24)
    engine = Engine("E", "A", (TALL, rear), levers=Levers(deck_cut_mm=0.5), match=Match(quench_mm=0.05))
    choice = choose(engine, supply(BASE, HEAD), "closeness")
    assert [one.quench_mm for one in choice.engines[0].cylinders] == [pytest.approx(0.89)] * 2


def test_no_head_is_cut_where_the_mouth_of_its_chamber_is_not_known() -> None:
    """The quench band says that the mouth is smaller than the bore: what a cut takes along is not known.

    0.05 + 0.40 + 0.50 = 0.95 mm is inside; the ratio is too low, which only a head cut could mend.
    """
    measured = replace(TALL, deck_height_mm=0.05, chamber_volume_cc=50.0, compression=Window(9.2, 9.8))
    known = Engine("E", "A", (measured,), levers=Levers(head_cut_mm=1.0))
    assert [work.lever for work in choose(known, supply(BASE, HEAD)).engines[0].cylinders[0].work] == [Lever.HEAD_CUT]
    unknown = replace(known, cylinders=(replace(measured, chamber_opening_mm2=None),))
    assert choose(unknown, supply(BASE, HEAD)).engines[0].blocked
