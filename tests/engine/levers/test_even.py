"""No depth of ever finer grids is nearer to the aims of two cylinders cut alike than the best that are tried for them.

Volumes and ratios are worked out anew from the trade's formulas; random twins, all invented.
"""

from __future__ import annotations

import math
import random

import numpy as np
import pytest
from msgspec.structs import replace

from stackopt.engine.engine_records import Cylinder, Levers, Window
from stackopt.engine.levers.plane import depths_that_matter

STACK = (0.40, 0.50, math.pi / 4 * 84.0**2)
GRIDS = 11


def random_twin(seed: int) -> tuple[Cylinder, Cylinder]:
    rng = random.Random(seed)
    front = Cylinder(
        "front",
        82.0,
        78.0,
        rng.uniform(0.0, 0.3),
        chamber_volume_cc=rng.uniform(44.0, 50.0),
        piston_volume_cc=3.0,
        # So wide a window on the quench, and so narrow a one on the ratio, that a millimetre counts alike in both.
        quench=rng.choice([None, *(Window(0.1, high, rng.uniform(0.5, 1.3)) for high in (1.5, 2.0, 2.5))]),
        compression=Window(8.6, rng.choice([9.8, 10.2, 11.0]), rng.uniform(8.8, 9.6)),
        chamber_opening_mm2=rng.choice([None, 4600.0]),
        band_recess_mm=rng.choice([0.0, 0.5]),
    )
    high = rng.choice([9.8, 10.2, 11.0])
    rear = replace(
        front,
        compression=Window(8.6, high, rng.uniform(8.8, 9.6)),
        quench=None if front.quench is None else replace(front.quench, aim=rng.uniform(0.5, 1.3)),
        name="rear",
        bore_mm=rng.choice([82.0, 82.4, 83.0]),
        deck_height_mm=front.deck_height_mm + rng.uniform(-0.1, 0.1),
        chamber_volume_cc=front.chamber_volume_cc + rng.uniform(-1.5, 1.5),
        chamber_opening_mm2=rng.choice([None, 5200.0, 1200.0]),
        band_recess_mm=0.0,
    )
    return front, rear


def distance(cylinder: Cylinder, head_mm: np.ndarray, deck_mm: np.ndarray) -> np.ndarray:
    """Return the distance from the aims in half-widths; infinity outside a window."""
    base, gasket, opening = STACK
    bore = math.pi / 4 * cylinder.bore_mm**2
    mouth = cylinder.chamber_opening_mm2 or bore
    in_recess_mm = np.minimum(head_mm, cylinder.band_recess_mm)
    below_mm = cylinder.deck_height_mm - deck_mm + base
    lost = bore * in_recess_mm + mouth * (head_mm - in_recess_mm)
    clearance = cylinder.chamber_volume_cc - cylinder.piston_volume_cc
    clearance = clearance + (opening * gasket + bore * below_mm - lost) / 1000
    quench = below_mm + gasket + cylinder.band_recess_mm - in_recess_mm
    ratio = 1 + bore * cylinder.stroke_mm / 1000 / clearance
    total = np.zeros(head_mm.shape)
    for window, value in ((cylinder.quench, quench), (cylinder.compression, ratio)):
        if window is not None:
            inside = (value >= window.low - 1e-9) & (value <= window.high + 1e-9)
            total = total + np.where(inside, abs(value - window.aim) / ((window.high - window.low) / 2), np.inf)
    return total


def least_by_grids(twins: tuple[Cylinder, Cylinder]) -> float:
    """Return the least distance on a grid, then on ever finer ones around the best depth so far."""
    at, reach_mm, least = (0.3, 0.1), 0.3, math.inf
    for _ in range(GRIDS):
        steps_mm = np.linspace(-reach_mm, reach_mm, 121)
        head, deck = np.meshgrid(np.clip(at[0] + steps_mm, 0, 0.6), np.clip(at[1] + steps_mm, -0.2, 0.4))
        total = sum(distance(one, head, deck) for one in twins)
        if total.min() < least:
            place = np.unravel_index(total.argmin(), total.shape)
            least, at = float(total.min()), (float(head[place]), float(deck[place]))
        reach_mm /= 3
    return least


@pytest.mark.parametrize("seed", range(120))
def test_no_depth_that_suits_both_is_nearer_to_the_aims(seed: int) -> None:
    twins, levers = random_twin(seed), Levers(0.6, 0.4, 0.2)
    stacks = [tuple(np.array([one]) for one in STACK)] * 2
    depths = depths_that_matter(twins, stacks, levers)
    least = least_by_grids(twins)
    tried = np.isfinite(depths.closeness[:, 0])
    found = [depths.head_cut_mm[tried, 0], depths.deck_cut_mm[tried, 0] - depths.spacer_mm[tried, 0]]
    ours = sum(distance(one, *found) for one in twins)
    assert ours == pytest.approx(depths.closeness[tried, 0], abs=1e-7)
    assert min(ours, default=math.inf) <= least + 1e-8


def test_the_best_depth_may_lie_away_from_every_line() -> None:
    """Both ratios too high, both quenches too wide, and the volumes change differently with the two cuts.

    With weights 412/0.6 of the ratios, 1/0.56 and 1/0.89 of the quenches, areas of 5.281 and (mouth) 1.2 cm²: the rear
    is even at V² = 687·(5.281 − 1.2)/1.124, the front at V² = 687·5.281/(1.786 − 1.2·1.124/4.081): 50 cc both, at 0.25
    and 0.10 mm.
    """
    window = Window(8.7, 9.9, 8.9)
    front = Cylinder("front", 82.0, 78.0, 0.2, chamber_volume_cc=48.909, piston_volume_cc=3.0, compression=window)
    front = replace(front, quench=Window(0.3, 1.42, 0.35), band_recess_mm=0.5)
    rear = replace(front, name="rear", chamber_volume_cc=47.889, band_recess_mm=0.0, chamber_opening_mm2=1200.0)
    rear = replace(rear, quench=Window(0.05, 1.83, 0.35))
    stacks = [tuple(np.array([one]) for one in STACK)] * 2
    depths = depths_that_matter((front, rear), stacks, Levers(0.6, 0.4, 0.2))
    best = int(np.nanargmin(depths.closeness[:, 0]))
    assert depths.closeness[best, 0] <= least_by_grids((front, rear)) + 1e-8
    assert (depths.head_cut_mm[best, 0], depths.deck_cut_mm[best, 0]) == pytest.approx((0.25, 0.10), abs=0.05)
