"""What one answer calls for besides what is always said."""

from __future__ import annotations

from datetime import date

import pytest
from msgspec.structs import replace

from stackopt.choose.choice_records import FittedCylinder, FittedEngine, Piece, Work
from stackopt.choose.why.cautions import _part_cautions, engine_cautions, supply_cautions
from stackopt.engine.cautions import About, Caution, Units
from stackopt.engine.engine_records import Cylinder, Engine, Levers, Match, Spread
from stackopt.engine.levers.lever import Lever
from stackopt.engine.moving import PortSpan
from stackopt.parts.part_records import Kind, Part, Service, StockLine, Supply
from tests.report import answers

SCATTER = "The scatter of the deck readings is not known: chance and spread leave it out."


def with_outcome(quench_mm: tuple[float, float], ratios: tuple[float, float]):
    return replace(
        answers.FITTED,
        cylinders=tuple(
            replace(cylinder, quench_mm=quench, compression_ratio=ratio)
            for cylinder, quench, ratio in zip(answers.FITTED.cylinders, quench_mm, ratios, strict=True)
        ),
    )


def cautions(fitted=answers.FITTED, engine=answers.ENGINE, supply=answers.SUPPLY) -> tuple[str, ...]:
    said = engine_cautions(engine, fitted, supply)
    return tuple(f"{one.cylinder}: {one.words(Units.MM)}" if one.cylinder else one.words(Units.MM) for one in said)


def test_cylinders_that_agree_call_for_nothing() -> None:
    """Common practice, no source: 0.13 mm and 0.1; both are inside at exactly that difference."""
    measured = tuple(replace(cylinder, spread=Spread(deck_mm=0.01)) for cylinder in answers.ENGINE.cylinders)
    engine = replace(answers.ENGINE, cylinders=measured)
    assert cautions(with_outcome((0.80, 0.93), (9.4, 9.5)), engine) == ()


def test_cylinders_that_differ_by_more_than_common_practice_are_told() -> None:
    quench, ratio, scatter = cautions(with_outcome((0.80, 0.94), (9.4, 9.55)))
    assert quench.startswith("The cylinders differ by 0.140 mm in quench")
    assert ratio.startswith("The cylinders differ by 0.150 in compression ratio")
    assert scatter == SCATTER


def test_a_stated_match_is_a_limit_and_needs_no_caution() -> None:
    engine = replace(answers.ENGINE, match=Match(quench_mm=0.2, compression=0.2))
    assert cautions(with_outcome((0.80, 0.94), (9.4, 9.55)), engine) == (SCATTER,)


def test_an_opening_that_is_not_stated_and_an_estimated_thickness_are_told() -> None:
    parts = {number: replace(part, opening_mm=None, opening_mm2=None) for number, part in answers.PARTS.items()}
    parts["B40"] = replace(parts["B40"], estimated=True)
    said = cautions(supply=Supply(parts))
    assert said[0].startswith("The installed thickness of B40 is worked out from its free thickness")
    assert said[1].startswith("No opening is stated for H32: the bore is used")


def test_what_the_reader_of_the_engine_says_comes_first() -> None:
    assert (
        cautions(engine=replace(answers.ENGINE, cautions=(Caution(About.TILT, "front", "tilted."),)))[0]
        == "front: tilted."
    )


def test_a_base_gasket_needs_no_opening() -> None:
    assert not any("B40" in caution for caution in cautions())


def test_the_ports_of_a_v_come_apart_by_what_both_stacks_grew() -> None:
    """Each stack is 0.40 + 0.8128 = 1.2128 mm; both grew by 0.10 mm on a 60 degree V.

    2 · 0.10 · sin 30° = 0.10 mm.
    """
    ports = PortSpan(included_angle_deg=60.0, at_stack_mm=1.2128 - 0.10)
    said = cautions(engine=replace(answers.ENGINE, ports=ports))
    assert "Change of the distance between the ports 0.100 mm, the manifold may no longer fit." in said
    roomy = replace(answers.ENGINE, ports=replace(ports, limit_mm=0.2))
    assert "Change of the distance between the ports 0.100 mm, the manifold takes 0.2 mm." in cautions(engine=roomy)


def test_work_is_told_with_what_it_rests_on() -> None:
    work = (Work(Lever.HEAD_CUT, 0.2137), Work(Lever.DECK_CUT, 0.1, 4500))
    front, rear = answers.FITTED.cylinders
    said = cautions(replace(answers.FITTED, cylinders=(replace(front, work=work), rear)))
    assert "cut no more than head cut 0.214 mm on the front, deck cut 0.100 mm on the front." in said[1]
    assert "an estimate: measure it again with a burette" in said[2]
    assert said[3:] == ("No services sheet states what a head cut costs: it counts as nothing in the money.",)


def test_a_price_that_stands_for_something_else_is_told() -> None:
    front, rear = answers.FITTED.cylinders
    fitted = replace(answers.FITTED, cylinders=(replace(front, work=(Work(Lever.DECK_CUT, 0.1, 4500),)), rear))
    for per, count in (("hour", 1), ("Cylinder", 0), ("engine", 0), ("", 0)):
        supply = replace(answers.SUPPLY, services={"deck cut": Service("deck cut", 4500, per)})
        said = [one for one in cautions(fitted, supply=supply) if "stands per" in one]
        assert (
            said
            == [
                f"The price of a deck cut stands per {per}, which is not understood: it was counted for each cylinder "
                "worked on. Say per cylinder, or per engine."
            ]
            * count
        )


def test_ports_come_nearer_by_what_is_cut() -> None:
    """Both stacks as thick as when the manifold fitted, 0.10 mm cut off each: 2 · 0.10 · sin 30° = 0.10 mm nearer."""
    ports = PortSpan(included_angle_deg=60.0, at_stack_mm=1.2128)
    cylinders = tuple(replace(one, work=(Work(Lever.DECK_CUT, 0.1, 0),)) for one in answers.FITTED.cylinders)
    said = cautions(replace(answers.FITTED, cylinders=cylinders), replace(answers.ENGINE, ports=ports))
    assert "Change of the distance between the ports -0.100 mm, the manifold may no longer fit." in said


def test_pistons_that_cannot_be_placed_are_said_to_be_left_out() -> None:
    engine = replace(answers.ENGINE, levers=Levers(pistons=True))
    tall = Part("P1", Kind.PISTON, crown_volume_cc=3.0, compression_height_mm=31.0)
    said = cautions(engine=engine, supply=Supply(answers.PARTS | {"P1": tall}))
    assert said[-1].startswith("The compression height of the piston in front and rear is not stated, so it is not")
    assert "compression height" not in " ".join(cautions(engine=engine))


def test_parts_that_were_due_before_today_are_told() -> None:
    """The engine is due on 20 February 2027."""
    said = {
        day: [str(one.about) for one in engine_cautions(answers.ENGINE, answers.FITTED, answers.SUPPLY, today=day)]
        for day in (date(2027, 2, 20), date(2027, 2, 21))
    }
    assert "due date passed" not in said[date(2027, 2, 20)]
    assert "due date passed" in said[date(2027, 2, 21)]


@pytest.mark.parametrize(("measured_on", "little"), [(1, True), (2, True), (3, False), (12, False)])
def test_the_shops_own_thickness_says_after_how_many_cylinders(measured_on, little) -> None:
    part = Part("B", Kind.BASE_GASKET, thickness_mm=0.43, measured_on=measured_on)
    fitted = FittedCylinder("front", (Piece("B", Kind.BASE_GASKET),), 0.9, None, None, 0.0)
    (caution,) = _part_cautions(FittedEngine("E", (fitted,)), Supply({"B": part}))
    cylinders = "1 cylinder" if measured_on == 1 else f"{measured_on} cylinders"
    assert caution.about is About.OWN_THICKNESS
    assert caution.words(Units.MM).startswith(f"The thickness of B, 0.430 mm, is the shop's own, after {cylinders}.")
    assert ("little to rest on" in caution.text) == little


@pytest.mark.parametrize(("chance", "said"), [(0.5, 1), (0.899, 1), (0.9, 0), (1.0, 0), (None, 0)])
def test_a_stack_that_may_well_miss_its_window_is_told(chance: float | None, said: int) -> None:
    """One miss in ten; what is not known is told elsewhere."""
    front, rear = answers.FITTED.cylinders
    fitted = replace(answers.FITTED, cylinders=(front, replace(rear, chance_in_window=chance)))
    low = [one for one in engine_cautions(answers.ENGINE, fitted, answers.SUPPLY) if one.about is About.LOW_CHANCE]
    assert [one.cylinder for one in low] == ["rear"] * said


def test_who_says_which_chance_is_enough_is_not_told_of_it() -> None:
    front, rear = answers.FITTED.cylinders
    fitted = replace(answers.FITTED, cylinders=(front, replace(rear, chance_in_window=0.5)))
    engine = replace(answers.ENGINE, least_quench_chance=0.4)
    assert About.LOW_CHANCE not in {one.about for one in engine_cautions(engine, fitted, answers.SUPPLY)}


def test_pieces_on_order_without_a_day_are_said_to_count_for_no_engine() -> None:
    """Of what fits some engine asked about; what has its day, or fits none, is no caution."""
    parts = {
        part.number: part
        for part in (
            Part("B-1", Kind.BASE_GASKET, frozenset({"A"}), 0.3),
            Part("B-2", Kind.BASE_GASKET, frozenset({"A"}), 0.4),
            Part("Z-1", Kind.BASE_GASKET, frozenset({"Z"}), 0.4),
        )
    }
    day = date(2027, 3, 9)
    stock = {
        "B-1": StockLine("B-1", 0, on_order=2),
        "B-2": StockLine("B-2", 0, on_order=3, expected=day),
        "Z-1": StockLine("Z-1", 0, on_order=4),
    }
    engines = [Engine("E", "A", (Cylinder("front", 82.0, 78.0, 0.0),))]
    (caution,) = supply_cautions(Supply(parts, stock), engines)
    assert caution.about is About.ARRIVAL_NOT_STATED
    assert "On order without a day, so it counts for no engine: 2 of B-1. State the day" in caution.text
    assert not list(supply_cautions(Supply(parts, {"B-2": stock["B-2"]}), engines))


def due(day: date | None, today: date | None) -> list[str]:
    said = engine_cautions(replace(answers.ENGINE, due=day), answers.FITTED, answers.SUPPLY, today=today)
    return [one.words(Units.MM) for one in said if one.about in (About.DUE_DATE_PASSED, About.UNUSUAL_MEASURE)]


def test_a_due_date_that_has_passed_or_is_years_ahead_is_told() -> None:
    assert due(date(2027, 1, 31), date(2027, 2, 1))[0].startswith("the parts were due on 2027-01-31, before today")
    assert due(date(2029, 3, 1), date(2027, 2, 1))[0].startswith("the parts are due on 2029-03-01, more than two years")
    assert due(date(2027, 2, 1), date(2027, 2, 1)) == []
    assert due(None, date(2027, 2, 1)) == []
    assert due(date(2027, 1, 31), None) == []
