"""A run of thickness is exactly where a choice would allow the piece."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from stackopt.choose.stacks.broken import landed, limits_broken
from stackopt.choose.stacks.fittable import allowed, pair_up
from stackopt.choose.stacks.ranges import holds, in_both, joined
from stackopt.choose.stacks.sought import MADE_MM, thickness_runs
from stackopt.choose.stacks.together import stacks_match
from stackopt.engine.engine_records import Cylinder, Engine, Match, Spread, Window
from stackopt.engine.geometry import circle_area_mm2
from stackopt.engine.levers.thickness import Gap
from stackopt.engine.moving import Drive, HotPart, HotRun, IntakeClosing, PortSpan, Valve, ValveTrain
from stackopt.parts.part_records import Kind, Part
from tests.full import usual_or_full

OPENING_MM = 84.0


@st.composite
def engines(draw: st.DrawFn) -> Engine:
    """A twin with any mixture of limits."""

    def cylinder(name: str) -> Cylinder:
        return Cylinder(
            name,
            82.0,
            78.0,
            draw(st.floats(-0.3, 0.3)),
            draw(st.floats(44, 54)),
            2.0,
            quench=draw(st.sampled_from([None, Window(0.7, 1.1), Window(0.76, 1.02, 0.89)])),
            compression=draw(st.sampled_from([None, Window(9.0, 10.0), Window(9.2, None)])),
            effective=draw(st.sampled_from([None, Window(6.5, 8.5)])),
            intake=IntakeClosing(58.0, "1 mm", 150.0),
            valves=draw(st.sampled_from([(), (Valve("intake", 2.3, 1.0, 28.0, 2.2),)])),
            valve_train=draw(st.sampled_from([None, ValveTrain(Drive.PUSHROD, 1.0, 0.3)])),
            hot=draw(st.sampled_from([None, HotRun((), (HotPart(150, 12e-6, 80),), 0.7)])),
            tilt_mm=draw(st.sampled_from([0.0, 0.1, 0.6])),
            spread=draw(st.sampled_from([Spread(), Spread(deck_mm=0.03)])),
        )

    return Engine(
        "J-1",
        "A",
        (cylinder("front"), cylinder("rear")),
        least_quench_chance=draw(st.sampled_from([None, 0.5, 0.95])),
        match=Match(draw(st.sampled_from([None, 0.1])), draw(st.sampled_from([None, 0.15]))),
        ports=draw(st.sampled_from([None, PortSpan(60.0, 1.0, 0.2)])),
    )


@settings(max_examples=usual_or_full(40, 1000))
@given(engines(), st.booleans(), st.floats(0.2, 0.6))
def test_runs_hold_what_is_allowed_and_nothing_else(engine: Engine, head_sought: bool, beside_mm: float) -> None:
    front, rear = engine.cylinders
    base, head = Part("B", Kind.BASE_GASKET), Part("H", Kind.HEAD_GASKET, opening_mm=OPENING_MM, tolerance_mm=0.02)
    fixed_mm = 0.5
    gap = Gap(
        head_sought,
        beside_mm if head_sought else 0.0,
        0.0 if head_sought else beside_mm,
        circle_area_mm2(OPENING_MM),
        (0.02,),
    )
    other = landed(rear, [Part("B", Kind.BASE_GASKET, thickness_mm=0.4), _with(head, fixed_mm)])
    runs = thickness_runs(engine, front, gap, [[other]])
    for thickness_mm in np.linspace(MADE_MM[0], 1.4, 57):
        base_mm, head_mm = (beside_mm, thickness_mm) if head_sought else (thickness_mm, beside_mm)
        pieces = [_with(base, float(base_mm)), _with(head, float(head_mm))]
        does = bool(allowed(engine, pair_up(front, [(pieces[0],)], [pieces[1]])).item())
        assert does == (not list(limits_broken(engine, front, pieces)))
        does &= stacks_match(engine, landed(front, pieces), other)
        near_an_end = any(abs(end - thickness_mm) < 1e-5 for run in runs for end in run)
        assert near_an_end or does == holds(runs, float(thickness_mm))


def _with(part: Part, thickness_mm: float) -> Part:
    return Part(
        part.number, part.kind, thickness_mm=thickness_mm, tolerance_mm=part.tolerance_mm, opening_mm=part.opening_mm
    )


def test_runs_join_and_meet() -> None:
    assert joined([(0.5, 0.6), (0.1, 0.2), (0.2, 0.3)]) == ((0.1, 0.3), (0.5, 0.6))
    assert in_both([(0.1, 0.3), (0.5, 0.6)], [(0.2, 0.55)]) == ((0.2, 0.3), (0.5, 0.55))
    assert in_both([(0.1, 0.2)], [(0.3, 0.4)]) == ()
    assert holds([(0.1, 0.2)], pytest.approx(0.2).expected)
