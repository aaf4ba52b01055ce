"""What is called proven holds for every depth, where one gasket covers both cylinders and both are cut alike.

Held against a fine grid of depths with volumes and ratios worked out anew from the trade's formulas; random twins, all
invented.
"""

from __future__ import annotations

import itertools
import math
import random

import pytest
from msgspec.structs import replace

from stackopt.choose.choice_records import Request, Status
from stackopt.choose.patience import Patience
from stackopt.choose.solve.plan import make_task, plan, solved
from stackopt.choose.why.explain import explained
from stackopt.engine.engine_records import Cylinder, Engine, Levers, Window
from stackopt.parts.part_records import Kind, Part, Service, StockLine, Supply
from tests.choose.situations import TODAY
from tests.full import usual_or_full

BASE = Part("B40", Kind.BASE_GASKET, thickness_mm=0.40, covers=2)
HEAD = Part("H50", Kind.HEAD_GASKET, thickness_mm=0.50, opening_mm=84.0, covers=2)
SERVICES = {name: Service(name, cents) for name, cents in (("head cut", 3800), ("deck cut", 4500))}
STEP_MM = 0.01
NAMES = ("spend", "closeness", "metal")


def twin(rng: random.Random) -> Engine:
    front = Cylinder(
        "front",
        82.0,
        78.0,
        rng.choice([0.1, 0.2, 0.3]),
        chamber_volume_cc=rng.choice([45.0, 47.0, 49.0]),
        piston_volume_cc=3.0,
        quench=Window(0.7, 1.1, 0.85),
        compression=Window(9.0, 10.2, rng.choice([9.4, 9.8])),
    )
    deck_mm = front.deck_height_mm + rng.choice([-0.05, 0.02, 0.06])
    chamber_cc = front.chamber_volume_cc + rng.choice([-0.6, 0.3, 1.1])
    bore_mm = rng.choice([82.0, 82.3, 82.6])
    rear = replace(front, name="rear", bore_mm=bore_mm, deck_height_mm=deck_mm, chamber_volume_cc=chamber_cc)
    # The mouths of the chambers are as wide as the bores, and measured: else no head would be cut.
    measured = tuple(replace(one, chamber_opening_mm2=math.pi / 4 * one.bore_mm**2) for one in (front, rear))
    return Engine("E", "A", measured, levers=Levers(rng.choice([0.0, 0.4]), rng.choice([0.3, 0.5])))


def shelf(*parts: Part) -> Supply:
    stock = {part.number: StockLine(part.number, 2) for part in parts}
    return Supply({part.number: part for part in parts}, stock, services=SERVICES)


def distance(cylinder: Cylinder, base_mm: float, head_mm: float, deck_mm: float) -> float | None:
    """Return the distance from both aims in half-widths; None outside a window."""
    bore = math.pi / 4 * cylinder.bore_mm**2
    below_mm = cylinder.deck_height_mm - deck_mm + base_mm
    gasket = math.pi / 4 * HEAD.opening_mm**2 * HEAD.thickness_mm
    clearance = cylinder.chamber_volume_cc - cylinder.piston_volume_cc + (gasket + bore * (below_mm - head_mm)) / 1000
    values = ((cylinder.quench, below_mm + HEAD.thickness_mm), (cylinder.compression, 1 + bore * 0.078 / clearance))
    if any(not window.low - 1e-9 <= value <= window.high + 1e-9 for window, value in values):
        return None
    return sum(abs(value - window.aim) / ((window.high - window.low) / 2) for window, value in values)


def by_grid(engine: Engine, base_mm: tuple[float, float]) -> list[tuple[float, ...]]:
    """Return (cents, distance, metal) of every depth of a grid that suits both cylinders; each face is paid once."""
    most_mm = (engine.levers.head_cut_mm, engine.levers.deck_cut_mm)
    grids = [[STEP_MM * n for n in range(round(most / STEP_MM) + 1)] for most in most_mm]
    found = []
    for head_mm, deck_mm in itertools.product(*grids):
        each = [distance(one, base, head_mm, deck_mm) for one, base in zip(engine.cylinders, base_mm, strict=True)]
        if None not in each:
            cents = 3800 * (head_mm > 0) + 4500 * (deck_mm > 0)
            found.append((cents, sum(each), 2 * (head_mm + deck_mm)))
    return found


@pytest.mark.parametrize("block", range(usual_or_full(1, 4, whole=2)))
@pytest.mark.parametrize("own_bases", [False, True])
def test_no_depth_that_suits_both_goes_below_a_bound(block: int, own_bases: bool) -> None:
    """A proven pass is as good as the grid's best, an unproven one's bound is not above it; in six orders.

    One head gasket on both; below it one base gasket on both, or each cylinder its own of two thicknesses.
    """
    bases = [replace(BASE, number=f"B{n}", covers=1, thickness_mm=0.3 + 0.1 * n) for n in range(2)]
    parts = bases if own_bases else [BASE]
    pairs = list(itertools.product([part.thickness_mm for part in parts], repeat=2))
    compared = 0
    for seed in range(block * 2, block * 2 + 2):
        engine = twin(random.Random(seed))
        tried = [one for pair in pairs for one in by_grid(engine, pair)]
        for names in itertools.permutations(NAMES):
            choice = plan(Request((engine,), TODAY, names), shelf(HEAD, *parts))
            passes = {each.objective: each for each in choice.passes}
            best = min((tuple(one[NAMES.index(name)] for name in names) for one in tried), default=None)
            if best is None:
                continue
            assert passes["blocked"].bound == 0
            for name, theirs in zip(names, best, strict=True):
                assert passes[name].bound <= theirs + 3e-6, (seed, names, name)
                if not passes[name].proven or passes[name].value < theirs - 3e-6:
                    break
                assert passes[name].value <= theirs + 3e-6, (seed, names, name)
            compared += 1
    assert compared


def test_what_suits_each_by_itself_is_proven_for_both_only_where_all_gaskets_are_for_both() -> None:
    """Decks 0.20 and 0.26 mm cut alike are 0.06 mm from the aim together; each by itself would land on it.

    With a base gasket for each cylinder, other pieces on the rear than on the front could call for other depths.
    """
    front = Cylinder("front", 82.0, 78.0, 0.20, quench=Window(0.76, 1.02, 0.89))
    rear = replace(front, name="rear", deck_height_mm=0.26)
    engine = Engine("E", "A", (front, rear), levers=Levers(deck_cut_mm=0.5))
    assert plan(Request((engine,), TODAY), shelf(BASE, HEAD)).status is Status.PROVEN
    assert plan(Request((engine,), TODAY, ("chance",)), shelf(BASE, HEAD)).status is Status.BEST_FOUND
    choice = plan(Request((engine,), TODAY), shelf(replace(BASE, covers=1), HEAD))
    (closeness,) = [each for each in choice.passes if each.objective == "closeness"]
    assert (choice.status, closeness.value, closeness.bound) == (
        Status.BEST_FOUND,
        pytest.approx(0.06 / 0.13),
        pytest.approx(0),
    )


def test_the_next_best_of_what_was_tried_is_told_where_no_depth_is_proven() -> None:
    """A shared head gasket over bases of their own: what else would do is worth knowing all the same."""
    base, thin = replace(BASE, covers=1), replace(BASE, number="B20", thickness_mm=0.20, covers=1)
    engine = twin(random.Random(3))
    request = Request((engine,), TODAY)
    task = make_task(request, shelf(base, thin, HEAD))
    choice = solved(task)
    assert choice.status is Status.BEST_FOUND
    others = explained(request, task, choice).alternatives[engine.name]
    assert others
    assert all(other.passes[2].value >= choice.passes[2].value for other in others)
    hurried = Request((engine,), TODAY, patience=Patience(ends_at=0.0))
    assert not explained(hurried, replace(task, patience=hurried.patience), choice).alternatives
