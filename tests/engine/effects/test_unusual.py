"""What an engine hardly has, and what is stated twice and differs, is told; an ordinary engine calls for nothing.

The limits are common practice, no source: each case lies a little beyond one of them.
"""

from __future__ import annotations

import math

import pytest
from msgspec import Struct
from msgspec.structs import replace

from stackopt.engine.cautions import About, Units
from stackopt.engine.effects.at_odds import at_odds
from stackopt.engine.effects.unusual import unusual_measures
from stackopt.engine.engine_records import Cylinder, Engine, Levers, Match, Spread, Window
from stackopt.engine.moving import AtSpeed, Drive, HotPart, HotRun, IntakeClosing, PortSpan, Rod, Valve, ValveTrain
from stackopt.engine.stated import Stated

BORE_MM2 = math.pi / 4 * 82.0**2
VALVE = Valve("intake", 2.4, 1.0, 28.0, 2.0, lift_mm_per_deg=0.05)
TRAIN = ValveTrain(Drive.OVERHEAD_CAM, 1.0, 0.5, 25.0, 1.0)
INTAKE = IntakeClosing(50.0, "1 mm", 150.0, 0.5)
ROD, PISTON = HotPart(150.0, 12e-6, 60.0), HotPart(35.0, 21e-6, 150.0)
HOT = HotRun((HotPart(100.0, 21e-6, 90.0),), (ROD, PISTON), 0.5)
RUNNING = AtSpeed(6000.0, 150.0, Rod(0.5, 200.0, 207.0), 0.3 * BORE_MM2, 0.4)
FRONT = Cylinder(
    name="front",
    bore_mm=82.0,
    stroke_mm=78.0,
    deck_height_mm=0.1,
    chamber_volume_cc=50.0,
    crevice_volume_cc=1.0,
    band_recess_mm=0.1,
    compression=Window(9.2, 9.8),
    spread=Spread(deck_limits_mm=(0.02,), chamber_limits_cc=(0.3,), gasket_mm=0.025),
    intake=INTAKE,
    valves=(VALVE,),
    valve_train=TRAIN,
    hot=HOT,
    chamber_opening_mm2=0.6 * BORE_MM2,
    compression_height_mm=35.0,
    running=RUNNING,
)
ORDINARY = Engine(
    name="J-104",
    family="A",
    cylinders=(FRONT, replace(FRONT, name="rear")),
    rod_length_mm=150.0,
    least_quench_chance=0.9,
    match=Match(0.13, 0.1),
    ports=PortSpan(50.0, 1.0, 0.5),
    levers=Levers(0.5, 0.5, 1.0),
)


def said(engine: Engine) -> list[tuple[str, str]]:
    cautions = (*unusual_measures(engine), *at_odds(engine))
    return [(one.cylinder, one.words(Units.MM)) for one in cautions if one.about is About.UNUSUAL_MEASURE]


def of_front(**changes: object) -> Engine:
    return replace(ORDINARY, cylinders=(replace(FRONT, **changes), ORDINARY.cylinders[1]))


def changed(record: Struct, **changes: object) -> Struct:
    return replace(record, **changes)


def test_an_ordinary_engine_calls_for_nothing() -> None:
    assert list(unusual_measures(ORDINARY)) == []
    assert list(at_odds(ORDINARY)) == []


@pytest.mark.parametrize(
    ("changes", "words"),
    [
        ({"bore_mm": 50.0, "hot": None, "running": None, "chamber_opening_mm2": None}, "a bore over stroke of 0.641"),
        ({"band_recess_mm": 1.1}, "a band recess of 1.100 mm is unusual: at most 1.000 mm"),
        ({"crevice_volume_cc": 4.2}, "a crevice volume of 1.02 % of the swept volume"),
        ({"chamber_opening_mm2": 1.06 * BORE_MM2, "running": None}, "a chamber opening of 106 %"),
        ({"spread": Spread(deck_limits_mm=(0.11,))}, "an error limit of the deck of 0.110 mm"),
        ({"spread": Spread(piston_limits_cc=(1.1,))}, "an error limit of chamber or piston volume of 1.1 cc"),
        ({"spread": Spread(gasket_mm=0.11)}, "a gasket tolerance of 0.110 mm"),
        ({"compression_height_mm": 14.0, "hot": None}, "a compression height of 14.000 mm"),
        ({"intake": changed(INTAKE, after_bottom_deg=91.0)}, "an intake closing of 91 deg after bottom dead centre"),
        ({"intake": changed(INTAKE, pin_offset_mm=3.1)}, "a pin offset of 3.100 mm"),
        ({"intake": changed(INTAKE, at_lift="2.1 mm")}, "a lift at which the closing is stated of 2.100 mm"),
        ({"valves": (changed(VALVE, clearance_mm=0.4),)}, "intake: a clearance to the piston of 0.400 mm"),
        ({"valves": (changed(VALVE, least_mm=5.1),)}, "intake: a least clearance of 5.100 mm"),
        ({"valves": (changed(VALVE, lift_mm_per_deg=0.21),)}, "intake: a lift per degree of 0.210 mm"),
        ({"valves": (changed(VALVE, angle_deg=2.0),)}, "intake: an angle of 2 deg"),
        ({"valve_train": changed(TRAIN, limit_mm=2.1)}, "valve train: a limit of 2.100 mm"),
        ({"valve_train": changed(TRAIN, limit_deg=3.1)}, "valve train: a limit of 3.1 deg"),
        ({"valve_train": changed(TRAIN, sprocket_radius_mm=61.0)}, "a sprocket radius of 61.000 mm"),
        ({"compression": Window(8.0, 12.1)}, "[compression]: a window of 4.1"),
        ({"chamber_opening_mm2": 0.8 * BORE_MM2}, "a band_area and a chamber_opening together of 110 %"),
        ({"hot": changed(HOT, opening=(HotPart(100.0, 21e-6, 301.0),))}, "[hot]: a rise of temperature of 301 K"),
        ({"hot": changed(HOT, opening=(HotPart(301.0, 21e-6, 90.0),))}, "[hot]: a part of 301.000 mm"),
        ({"hot": changed(HOT, least_quench_mm=0.1)}, "[hot]: a least_quench of 0.100 mm"),
        ({"running": changed(RUNNING, least_quench_mm=2.1)}, "[running]: a least_quench of 2.100 mm"),
        # 78 mm · 11,600 / 30,000 = 30.16 m/s.
        ({"running": changed(RUNNING, speed_rpm=11_600.0)}, "a mean piston speed of 30.16 m/s"),
        # 1.2 kg over 8.2³ = 551.4 cm³.
        ({"running": changed(RUNNING, rod=Rod(1.2, 200.0, 207.0))}, "a piston_mass over the bore cubed of 2.176 g/cm³"),
        ({"running": changed(RUNNING, rod=Rod(0.5, 0.13 * BORE_MM2, 207.0))}, "a rod_section of 13 %"),
        ({"running": changed(RUNNING, band_mm2=0.04 * BORE_MM2), "chamber_opening_mm2": None}, "a band_area of 4 %"),
    ],
)
def test_what_a_cylinder_hardly_has_is_told(changes: dict[str, object], words: str) -> None:
    ((cylinder, text),) = said(of_front(**changes))
    assert cylinder == "front"
    assert text.startswith(words)


def test_stacks_out_of_all_proportion_are_told_with_each_that_differs() -> None:
    """Valves, valve train and ports state theirs; 4.1 mm is no stack, and the others say 1.0 mm."""
    texts = [text for _, text in said(of_front(valves=(changed(VALVE, at_stack_mm=4.1),)))]
    assert texts[0].startswith("intake: an at_stack of 4.100 mm is unusual: 0.200 mm to 4.000 mm is usual.")
    assert texts[1].startswith("at_stack of valve train is 1.000 mm, of intake 4.100 mm.")


@pytest.mark.parametrize(
    ("changes", "words"),
    [
        ({"ports": PortSpan(14.0, 1.0)}, "[ports]: an included angle of 14 deg"),
        ({"ports": PortSpan(50.0, 1.0, 2.1)}, "[ports]: a limit of 2.100 mm"),
        ({"match": Match(quench_mm=0.6)}, "[match]: a difference of quench of 0.600 mm"),
        ({"match": Match(compression=0.6)}, "[match]: a difference of ratio of 0.6"),
        ({"least_quench_chance": 0.09}, "[quench]: a least chance of 0.09 is unusual: 0.5 to 1 is usual."),
        ({"shims": 5}, "[base]: a number of shims of 5"),
        ({"opening_margin_mm": 6.0}, "an opening_margin of 6.000 mm"),
        ({"levers": Levers(head_cut_mm=1.6)}, "[levers]: a head cut of 1.600 mm"),
        ({"levers": Levers(deck_cut_mm=1.6)}, "[levers]: a deck cut of 1.600 mm"),
        ({"levers": Levers(spacer_mm=5.1)}, "[levers]: a spacer of 5.100 mm"),
    ],
)
def test_what_an_engine_hardly_has_is_told_once(changes: dict[str, object], words: str) -> None:
    ((cylinder, text),) = said(replace(ORDINARY, **changes))
    assert cylinder == ""
    assert text.startswith(words)


def test_what_all_cylinders_have_is_told_once() -> None:
    engine = replace(ORDINARY, cylinders=tuple(replace(one, band_recess_mm=1.1) for one in ORDINARY.cylinders))
    assert [cylinder for cylinder, _ in said(engine)] == [""]


def test_a_third_cylinder_and_a_deck_stated_as_zero_are_told() -> None:
    level = replace(FRONT, name="left", deck_height_mm=0.0, stated=Stated(written={"deck": "0"}))
    engine = replace(ORDINARY, cylinders=(*ORDINARY.cylinders, level))
    assert [(one.about.value, one.cylinder) for one in unusual_measures(engine)] == [
        ("deck stated as 0", "left"),
        ("more than two cylinders", ""),
    ]
    unread = replace(level, stated=Stated(written={}))
    assert list(unusual_measures(replace(ORDINARY, cylinders=(FRONT, unread)))) == []


@pytest.mark.parametrize(
    ("changes", "words"),
    [
        ({"hot": changed(HOT, closing=(changed(ROD, length_mm=154.0), PISTON))}, "the rod in [hot] is 154.000 mm long"),
        (
            {"hot": changed(HOT, closing=(ROD, changed(PISTON, length_mm=39.0)))},
            "the piston in [hot] is 39.000 mm high",
        ),
        ({"valve_train": changed(TRAIN, at_stack_mm=1.3)}, "at_stack of intake is 1.000 mm, of valve train 1.300 mm."),
        ({"intake": changed(INTAKE, at_lift="0.050")}, "at_lift '0.050' has no unit"),
    ],
)
def test_what_is_stated_twice_and_differs_is_told(changes: dict[str, object], words: str) -> None:
    ((cylinder, text),) = said(of_front(**changes))
    assert cylinder == "front"
    assert text.startswith(words)


def test_a_rod_alone_asks_for_its_piston_and_a_lift_in_words_needs_no_unit() -> None:
    alone = of_front(hot=changed(HOT, closing=(ROD,)))
    assert [one.about for one in at_odds(alone)] == [About.HOT_PISTON_NOT_STATED]
    assert said(of_front(intake=changed(INTAKE, at_lift="seat"))) == []
    assert said(of_front(hot=changed(HOT, closing=()))) == []


def test_ports_may_have_been_fitted_with_a_somewhat_other_stack() -> None:
    assert said(replace(ORDINARY, ports=PortSpan(50.0, 1.4))) == []
    ((_, text),) = said(replace(ORDINARY, ports=PortSpan(50.0, 1.5)))
    assert text.startswith("at_stack of intake is 1.000 mm, of ports 1.500 mm.")
