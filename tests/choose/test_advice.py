"""No advice breaks a limit: random engines with every limit stated, against arithmetic of its own.

Quench, volumes, valves, cams, heat, rod stretch, effective ratio, ports and chances are worked out here anew, in plain
numbers; a thousand engines with STACKOPT_FULL=1.
"""

from __future__ import annotations

import math
import random
from collections.abc import Iterable, Iterator, Mapping
from itertools import combinations_with_replacement, product
from statistics import NormalDist

import pytest
from msgspec.structs import replace

from stackopt.choose.choice_records import FittedCylinder, Request, Work
from stackopt.choose.solve.plan import plan
from stackopt.choose.why.freeing import Freeing, freeing_things
from stackopt.choose.why.lever_offers import lever_offers
from stackopt.choose.why.reasons import why_blocked
from stackopt.engine.engine_records import Cylinder, Engine, Match, Spread, Window
from stackopt.engine.levers.lever import Lever
from stackopt.engine.moving import (
    AtSpeed,
    Drive,
    HotPart,
    HotRun,
    IntakeClosing,
    Pocket,
    PortSpan,
    Rod,
    Valve,
    ValveTrain,
)
from stackopt.parts.part_records import Kind, Part, StockLine, Supply
from tests.choose.situations import TODAY
from tests.full import usual_or_full

ENGINES = usual_or_full(5, 1000, whole=30)
# A depth or a thickness is told to a billionth of a millimetre; a ratio, as curved as it is, to less.
CLOSE = 1e-6
Stack = tuple[Part, ...]
# Quench, ratio, and how far the head stands from the crankcase.
Landed = tuple[float, float, float]
ROD_MM, CLOSES_DEG, SPEED_RPM = 150.0, 58.0, 6500.0
HOT_PARTS = ((110.0, 21.5e-6, 120.0, 1), (150.0, 12.3e-6, 80.0, -1), (40.0, 23.6e-6, 150.0, -1))


def random_train(rng: random.Random) -> ValveTrain:
    """Pushrods that give way by a length, or a cam on the head that turns by an angle."""
    if rng.random() < 0.6:
        return ValveTrain(Drive.PUSHROD, 0.95, limit_mm=rng.choice([0.15, 0.3, 0.5]))
    return ValveTrain(Drive.OVERHEAD_CAM, 0.95, sprocket_radius_mm=32.0, limit_deg=rng.choice([0.3, 0.6, 1.0]))


def random_valves(rng: random.Random) -> tuple[Valve, ...]:
    lift = rng.choice([None, 0.06])
    pocket = rng.choice([None, Pocket.VALVE, Pocket.DECK])
    angle = rng.choice([0.0, 28.0])
    intake = Valve("intake", 2.3, 0.95, angle, rng.choice([2.0, 2.2, 2.35]), pocket, lift)
    exhaust = Valve("exhaust", 2.7, 0.95, angle, rng.choice([2.4, 2.65]), pocket, lift)
    return (intake, exhaust) if rng.random() < 0.5 else (intake,)


def random_engine(rng: random.Random) -> Engine:
    train = random_train(rng)
    rod = Rod(0.48, 160.0, 206.0)

    def cylinder(name: str) -> Cylinder:
        return Cylinder(
            name,
            82.0,
            78.0,
            rng.choice([-0.3, -0.1, 0.0, 0.1, 0.25, 0.4]),
            chamber_volume_cc=rng.choice([47.0, 49.0, 50.5]),
            piston_volume_cc=2.0,
            quench=Window(0.76, 1.02, 0.89),
            compression=Window(9.0, rng.choice([9.6, 10.4])),
            spread=Spread(deck_mm=rng.choice([0.005, 0.02, 0.05])),
            valves=random_valves(rng),
            valve_train=train,
            chamber_opening_mm2=rng.choice([None, 4200.0]),
            tilt_mm=rng.choice([0.0, 0.0, 0.1]),
            intake=IntakeClosing(CLOSES_DEG, "1 mm", ROD_MM),
            effective=rng.choice([None, Window(7.0, 8.4)]),
            hot=rng.choice([None, hot_run(rng.choice([0.6, 0.7, 0.8]))]),
            running=rng.choice([None, None, AtSpeed(SPEED_RPM, ROD_MM, rod, least_quench_mm=rng.choice([0.5, 0.75]))]),
        )

    match = Match(quench_mm=rng.choice([0.05, 0.13]), compression=rng.choice([0.1, 0.4]))
    ports = rng.choice([None, None, PortSpan(50.0, 0.95, rng.choice([0.05, 0.15]))])
    cylinders = (cylinder("front"), cylinder("rear"))
    chance, shims = rng.choice([0.5, 0.9]), rng.choice([0, 0, 1, 2])
    return Engine("E", "A", cylinders, least_quench_chance=chance, match=match, ports=ports, shims=shims)


def hot_run(least_mm: float) -> HotRun:
    parts = [(HotPart(length, per_k, rise), way) for length, per_k, rise, way in HOT_PARTS]
    opening, closing = (tuple(part for part, own in parts if own == way) for way in (1, -1))
    return HotRun(opening, closing, least_mm)


def random_supply(rng: random.Random) -> Supply:
    bases = [Part(f"B{n}", Kind.BASE_GASKET, thickness_mm=rng.choice([0.2, 0.3, 0.4, 0.5, 0.6])) for n in range(2)]
    heads = [
        Part(f"H{n}", Kind.HEAD_GASKET, thickness_mm=rng.choice([0.3, 0.4, 0.5, 0.7]), opening_mm=83.0)
        for n in range(2)
    ]
    shims = [Part("S0", Kind.BASE_SHIM, thickness_mm=rng.choice([0.1, 0.15, 0.25]))] if rng.random() < 0.7 else []
    parts = {part.number: part for part in (*bases, *shims, *heads)}
    # Two of each gasket, and shims for both cylinders.
    return Supply(parts, {number: StockLine(number, 4 if number == "S0" else 2) for number in parts})


def landing(cylinder: Cylinder, stack: Stack, work: Iterable[Work] = ()) -> Landed:
    """Quench, mm, ratio, and lift, mm."""
    cut = {lever: sum(one.amount_mm for one in work if one.lever is lever) for lever in Lever}
    base_mm, head = sum(part.thickness_mm for part in stack[:-1]), stack[-1]
    bore_mm2, opening_mm2 = math.pi / 4 * cylinder.bore_mm**2, math.pi / 4 * head.opening_mm**2
    deck_mm = cylinder.deck_height_mm - cut[Lever.DECK_CUT] + cut[Lever.SPACER]
    mouth_mm2 = cylinder.chamber_opening_mm2 or math.nan if cut[Lever.HEAD_CUT] else 0.0
    lost_cc = mouth_mm2 * cut[Lever.HEAD_CUT] / 1000
    gaskets_cc = (opening_mm2 * head.thickness_mm + bore_mm2 * (deck_mm + base_mm)) / 1000
    clearance_cc = cylinder.chamber_volume_cc - lost_cc + gaskets_cc - cylinder.piston_volume_cc
    lift_mm = base_mm + head.thickness_mm - cut[Lever.HEAD_CUT] - cut[Lever.DECK_CUT] + cut[Lever.SPACER]
    ratio = 1 + bore_mm2 * cylinder.stroke_mm / 1000 / clearance_cc
    return deck_mm + base_mm + head.thickness_mm, ratio, lift_mm


def keeps(engine: Engine, cylinder: Cylinder, stack: Stack, work: Iterable[Work] = ()) -> bool:
    """Every limit of one cylinder."""
    work = list(work)
    quench_mm, ratio, lift_mm = landing(cylinder, stack, work)
    low_mm = cylinder.quench.low + cylinder.tilt_mm / 2
    error = NormalDist(quench_mm, cylinder.spread.deck_mm)
    chance = error.cdf(cylinder.quench.high) - error.cdf(low_mm)
    return (
        low_mm - CLOSE <= quench_mm <= cylinder.quench.high + CLOSE
        and cylinder.compression.low - CLOSE <= ratio <= cylinder.compression.high + CLOSE
        and all(keeps_valve(cylinder.valve_train, valve, lift_mm) for valve in cylinder.valves)
        and keeps_train(cylinder.valve_train, lift_mm)
        and chance >= engine.least_quench_chance - 1e-4
        and keeps_hot(cylinder, quench_mm)
        and keeps_running(cylinder, quench_mm)
        and keeps_effective(cylinder, ratio)
    )


def retard_deg(train: ValveTrain, lift_mm: float) -> float:
    """A chain that must reach further by ΔT turns a sprocket of radius r by ΔT/r."""
    if train.drive is not Drive.OVERHEAD_CAM:
        return 0.0
    return math.degrees((lift_mm - train.at_stack_mm) / train.sprocket_radius_mm)


def keeps_train(train: ValveTrain, lift_mm: float) -> bool:
    if train.drive is Drive.OVERHEAD_CAM:
        return abs(retard_deg(train, lift_mm)) <= train.limit_deg + CLOSE
    return abs(lift_mm - train.at_stack_mm) <= train.limit_mm + CLOSE


def keeps_valve(train: ValveTrain, valve: Valve, lift_mm: float) -> bool:
    """A cam held back opens the intake later, so it stands less open; it closes the exhaust later."""
    moved_mm, cosine = lift_mm - valve.at_stack_mm, math.cos(math.radians(valve.angle_deg))
    shares = {Pocket.VALVE: [cosine], Pocket.DECK: [1 / cosine], None: [cosine, 1 / cosine]}[valve.pocket]
    turned_mm = retard_deg(train, lift_mm) * (valve.lift_mm_per_deg or 0.0) * (-1 if valve.name == "exhaust" else 1)
    clearance_mm = valve.clearance_mm + min(moved_mm * share for share in shares) + turned_mm
    return clearance_mm >= valve.least_mm - CLOSE


def keeps_running(cylinder: Cylinder, quench_mm: float) -> bool:
    """Steel of 206 GPa, 160 mm², pulled by 0.48 kg at 6500 turns a minute on a throw of 39 mm and a rod of 150."""
    if cylinder.running is None:
        return True
    force_n = 0.48 * 0.039 * (SPEED_RPM * 2 * math.pi / 60) ** 2 * (1 + 39 / ROD_MM)
    stretch_mm = force_n * ROD_MM / (160 * 206e3)
    growth_mm = sum(way * length * per_k * rise for length, per_k, rise, way in HOT_PARTS) if cylinder.hot else 0.0
    running_mm = quench_mm - cylinder.tilt_mm / 2 - stretch_mm + growth_mm
    return running_mm >= cylinder.running.least_quench_mm - CLOSE


def keeps_hot(cylinder: Cylinder, quench_mm: float) -> bool:
    """The least place of the band, with what grows: crankcase and cylinder open it, rod and piston close it."""
    growth_mm = sum(way * length * per_k * rise for length, per_k, rise, way in HOT_PARTS)
    return cylinder.hot is None or quench_mm - cylinder.tilt_mm / 2 + growth_mm >= cylinder.hot.least_quench_mm - CLOSE


def keeps_effective(cylinder: Cylinder, ratio: float) -> bool:
    """From the intake's closing on: what is left of the stroke there, of a slider-crank, over the clearance."""
    throw_mm, angle = cylinder.stroke_mm / 2, math.radians(180 + CLOSES_DEG)
    height_mm = throw_mm * math.cos(angle) + math.sqrt(ROD_MM**2 - (throw_mm * math.sin(angle)) ** 2)
    left = (ROD_MM + throw_mm - height_mm) / cylinder.stroke_mm
    effective = 1 + (ratio - 1) * left
    window = cylinder.effective
    return window is None or window.low - CLOSE <= effective <= window.high + CLOSE


def match(engine: Engine, one: Landed, other: Landed) -> bool:
    far_mm, far, ports = engine.match.quench_mm, engine.match.compression, engine.ports
    moved_mm = 0.0 if ports is None else one[2] + other[2] - 2 * ports.at_stack_mm
    wider_mm = 0.0 if ports is None else abs(moved_mm) * math.sin(math.radians(ports.included_angle_deg) / 2)
    bridged = ports is None or wider_mm <= ports.limit_mm + CLOSE
    return bridged and abs(one[0] - other[0]) <= far_mm + CLOSE and abs(one[1] - other[1]) <= far + CLOSE


def stacks_of(parts: Iterable[Part], most_shims: int) -> list[Stack]:
    """Every base with up to so many shims above it, and every head gasket."""
    parts = list(parts)
    heads, bases, shims = (
        [part for part in parts if part.kind is kind] for kind in (Kind.HEAD_GASKET, Kind.BASE_GASKET, Kind.BASE_SHIM)
    )
    piles = [pile for count in range(most_shims + 1) for pile in combinations_with_replacement(shims, count)]
    return [(base, *pile, head) for base, pile, head in product(bases, piles, heads)]


def can_be_built(engine: Engine, parts: Iterable[Part], work: Mapping[str, list[Work]]) -> bool:
    """Some stack on each cylinder keeps every limit, and two of them match."""
    parts = list(parts)
    landed = [
        [landing(one, stack, own) for stack in stacks_of(parts, engine.shims) if keeps(engine, one, stack, own)]
        for one in engine.cylinders
        for own in [work.get(one.name, [])]
    ]
    return any(match(engine, *two) for two in product(*landed))


def places_in(run: tuple[float, float]) -> Iterator[float]:
    low, high = run
    yield from (low, (low + high) / 2, high)


@pytest.mark.parametrize("seed", range(ENGINES))
def test_no_advice_breaks_a_limit(seed: int) -> None:
    rng = random.Random(seed)
    engine, supply = random_engine(rng), random_supply(rng)
    request = Request((engine,), TODAY)
    choice = plan(request, supply)
    (fitted,) = choice.engines
    if not fitted.blocked:
        check_choice(engine, fitted.cylinders, supply)
    else:
        assert not can_be_built(engine, supply.parts.values(), {})
        why = why_blocked(request, supply, engine, choice)
        check_blocked(engine, why.cylinders, supply)
        for thing in freeing_things(request, supply, engine, choice, why):
            check_freeing(engine, thing, supply)
    check_levers(engine, lever_offers(request, supply, choice)["E"], fitted.cylinders, supply)


def check_choice(engine: Engine, fitted: tuple[FittedCylinder, ...], supply: Supply) -> None:
    stacks = [tuple(supply.parts[piece.part] for piece in one.pieces) for one in fitted]
    assert all(keeps(engine, *two) for two in zip(engine.cylinders, stacks, strict=True))
    assert match(engine, *(landing(*two) for two in zip(engine.cylinders, stacks, strict=True)))


def check_blocked(engine: Engine, blocked: Iterable, supply: Supply) -> None:
    for told in blocked:
        cylinder = next(one for one in engine.cylinders if one.name == told.cylinder)
        (other,) = (one for one in engine.cylinders if one is not cylinder)
        every = stacks_of(supply.parts.values(), engine.shims)
        beside = [landing(other, stack) for stack in every if keeps(engine, other, stack)]

        def does(stack: Stack, work: list[Work], cylinder: Cylinder = cylinder, beside: list[Landed] = beside) -> bool:
            landed = landing(cylinder, stack, work)
            return keeps(engine, cylinder, stack, work) and (
                not beside or any(match(engine, landed, b) for b in beside)
            )

        for row in told.would_do:
            base = tuple(supply.parts[number] for number in row.base)
            for thickness_mm in (place for run in row.runs for place in places_in(run)):
                head = Part("?", Kind.HEAD_GASKET, thickness_mm=thickness_mm, opening_mm=row.opening_mm)
                assert does((*base, head), [])
            assert all(does((*base, listing.part), []) for listing in row.listings)
        if told.deck_cut is not None:
            stack = tuple(supply.parts[number] for number in told.deck_cut.parts)
            assert does(stack, [Work(Lever.DECK_CUT, told.deck_cut.cut_mm)])
            if told.deck_cut.cut_mm > 2e-3:
                less = [Work(Lever.DECK_CUT, told.deck_cut.cut_mm - 1e-3)]
                assert not any(does(stack, less) for stack in every)


def check_freeing(engine: Engine, thing: Freeing, supply: Supply) -> None:
    work: dict[str, list[Work]] = {}
    for name, one in thing.work:
        work.setdefault(name, []).append(one)
    assert not work or can_be_built(engine, supply.parts.values(), work)
    for thickness_mm in (place for run in thing.runs for place in places_in(run)):
        wanted = Part("?", thing.kind, thickness_mm=thickness_mm, opening_mm=thing.opening_mm or None)
        assert can_be_built(engine, [*supply.parts.values(), wanted], {})


def check_levers(engine: Engine, offers: Iterable, fitted: tuple[FittedCylinder, ...], supply: Supply) -> None:
    for offer in offers:
        if offer.amount_mm is None:
            continue
        index = [one.name for one in engine.cylinders].index(offer.cylinder)
        stack = tuple(supply.parts[number] for number in offer.parts)
        work = [Work(Lever(offer.lever), offer.amount_mm)] if offer.amount_mm else []
        assert keeps(engine, engine.cylinders[index], stack, work)
        assert offer.lever != "head cut" or engine.cylinders[index].chamber_opening_mm2 is not None
        if fitted:
            other = tuple(supply.parts[piece.part] for piece in fitted[1 - index].pieces)
            landed = landing(engine.cylinders[1 - index], other)
            assert match(engine, landing(engine.cylinders[index], stack, work), landed)


def test_the_check_notices_what_breaks_a_limit() -> None:
    """A valve 0.1 mm too near, a quench 0.01 too wide: the arithmetic here says no."""
    rng = random.Random(1)
    engine = random_engine(rng)
    (front, _) = engine.cylinders
    sure = replace(front, deck_height_mm=0.0, tilt_mm=0.0, spread=Spread(deck_mm=1e-4), compression=Window(5.0, 20.0))
    sure = replace(
        sure,
        valves=(Valve("intake", 2.3, 0.89, least_mm=2.2),),
        valve_train=ValveTrain(Drive.PUSHROD, 0.95, limit_mm=0.5),
        hot=None,
        effective=None,
        running=None,
    )
    stack = (
        Part("B", Kind.BASE_GASKET, thickness_mm=0.4),
        Part("H", Kind.HEAD_GASKET, thickness_mm=0.49, opening_mm=83.0),
    )
    assert keeps(engine, sure, stack)
    assert not keeps(engine, replace(sure, valves=(Valve("intake", 2.3, 0.89, least_mm=2.4),)), stack)
    assert not keeps(engine, replace(sure, deck_height_mm=0.14), stack)
    assert not keeps(engine, sure, stack, [Work(Lever.SPACER, 0.14)])
