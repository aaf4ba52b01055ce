"""No depth of a head cut, a deck cut or a spacer is better than the best among those that are said to matter.

Held against a fine grid of depths, with quench, volumes and valve clearance worked out anew from the trade's formulas;
random cylinders, all invented.
"""

from __future__ import annotations

import math
import random

import numpy as np
import pytest

from stackopt.engine.engine_records import Cylinder, Levers, Window
from stackopt.engine.levers.plane import depths_that_matter
from stackopt.engine.moving import Pocket, Valve

STEP_MM = 0.01


def random_case(seed: int) -> tuple[Cylinder, tuple[float, float, float], Levers]:
    rng = random.Random(seed)
    valve = Valve("intake", rng.choice([2.1, 2.3]), 1.0, rng.choice([0.0, 20.0]), least_mm=2.0, pocket=Pocket.VALVE)
    cylinder = Cylinder(
        "front",
        82.0,
        78.0,
        deck_height_mm=rng.choice([-0.3, 0.0, 0.1, 0.4]),
        chamber_volume_cc=rng.choice([44.0, 48.0, 50.0]),
        piston_volume_cc=1.5,
        band_recess_mm=rng.choice([0.0, 0.0, 0.15, -0.1]),
        quench=rng.choice([None, Window(0.7, 1.1, 0.85), Window(0.7, 1.1, 0.85), Window(0.76, 1.02)]),
        compression=rng.choice([Window(9.0, 9.8), Window(9.0, 10.2, 9.9), Window(9.2, None), Window(9.2, None, 9.6)]),
        valves=rng.choice([(), (valve,)]),
        chamber_opening_mm2=rng.choice([None, 4200.0]),
    )
    levers = Levers(rng.choice([0.0, 0.4, 0.6]), rng.choice([0.0, 0.3, 0.5]), rng.choice([0.0, 0.3]))
    return cylinder, (rng.choice([0.3, 0.5]), rng.choice([0.5, 0.8]), math.pi / 4 * 83.0**2), levers


def grid_mm(most_mm: float) -> np.ndarray:
    return np.linspace(0.0, most_mm, round(most_mm / STEP_MM) + 1)


def by_hand(cylinder: Cylinder, stack, head_mm, deck_mm, spacer_mm):
    """Return (kept, closeness, metal) at each depth."""
    base, head_gasket, opening = stack
    bore = math.pi / 4 * cylinder.bore_mm**2
    mouth = cylinder.chamber_opening_mm2 or bore
    recess = max(cylinder.band_recess_mm, 0.0)
    out_of_recess = np.minimum(head_mm, recess)
    deck = cylinder.deck_height_mm - deck_mm + spacer_mm
    quench = deck + base + head_gasket + cylinder.band_recess_mm - out_of_recess
    chamber = cylinder.chamber_volume_cc - (bore * out_of_recess + mouth * (head_mm - out_of_recess)) / 1000
    clearance = chamber + (opening * head_gasket + bore * (deck + base)) / 1000 - cylinder.piston_volume_cc
    ratio = 1 + bore * cylinder.stroke_mm / 1000 / clearance
    kept, closeness = np.ones(quench.shape, bool), np.zeros(quench.shape)
    for window, value in ((cylinder.quench, quench), (cylinder.compression, ratio)):
        if window is None:
            continue
        kept &= value >= (window.low or 0) - 1e-9
        kept &= value <= (window.high or math.inf) + 1e-9
        closeness += 0 if window.aim is None else abs(value - window.aim) / window.half_width
    for valve in cylinder.valves:
        higher = base + head_gasket - head_mm - deck_mm + spacer_mm - valve.at_stack_mm
        kept &= valve.clearance_mm + higher * math.cos(math.radians(valve.angle_deg)) >= valve.least_mm - 1e-9
    return kept, closeness, head_mm + deck_mm


@pytest.mark.parametrize("block", range(10))
def test_no_depth_of_a_grid_is_better(block: int) -> None:
    """For closeness before metal and for metal before closeness, whichever of the levers are used."""
    compared = 0
    for seed in range(block * 30, block * 30 + 30):
        cylinder, stack, levers = random_case(seed)
        depths = depths_that_matter([cylinder], [tuple(np.array([one]) for one in stack)], levers)
        ours = [depths.head_cut_mm[:, 0], depths.deck_cut_mm[:, 0], depths.spacer_mm[:, 0]]
        ours = [each[np.isfinite(depths.closeness[:, 0])] for each in ours]
        sides = [(deck, 0.0) for deck in grid_mm(levers.deck_cut_mm)]
        sides += [(0.0, spacer) for spacer in grid_mm(levers.spacer_mm)[1:]]
        grid = np.array([(head, *side) for head in grid_mm(levers.head_cut_mm) for side in sides]).T
        kept, closeness, metal = by_hand(cylinder, stack, *grid)
        found_kept, found_closeness, found_metal = by_hand(cylinder, stack, *ours)
        assert found_kept.all(), seed
        assert found_closeness == pytest.approx(depths.closeness[np.isfinite(depths.closeness[:, 0]), 0], abs=1e-7)
        for used in set(map(tuple, (grid.T > 0)[kept])):
            among = kept & ((grid.T > 0) == used).all(axis=1)
            # A set of levers may be outdone by fewer of them: with one at zero, which costs no more.
            allowed = ((np.array(ours).T > 0) <= np.array(used)).all(axis=1)
            for first, second in ((0, 1), (1, 0)):
                theirs, mine = (closeness[among], metal[among]), (found_closeness[allowed], found_metal[allowed])
                least = theirs[first].min()
                assert mine[first].min() <= least + 1e-9, (seed, used, first)
                if mine[first].min() > least - 1e-9:
                    at_least = [each[second][each[first] <= least + 1e-9].min() for each in (mine, theirs)]
                    assert at_least[0] <= at_least[1] + 1e-7, (seed, used, first)
                compared += 1
    assert compared > 10
