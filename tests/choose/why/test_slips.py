"""Unlikely measures are told."""

from __future__ import annotations

import pytest
from msgspec.structs import replace

from stackopt.choose.why.slips import slip_cautions
from stackopt.engine.cautions import About, Units
from stackopt.engine.engine_records import Engine
from stackopt.engine.moving import Drive, Pocket, Valve, ValveTrain
from stackopt.engine.stated import Stated
from stackopt.guide import topic_text
from tests.report import answers

FRONT, REAR = answers.ENGINE.cylinders


def said(front=FRONT, rear=REAR, fitted=answers.FITTED, **changes: object) -> list[tuple[str, str, str]]:
    engine: Engine = replace(answers.ENGINE, cylinders=(front, rear), **changes)
    return [(str(one.about), one.cylinder, one.words(Units.MM)) for one in slip_cautions(engine, fitted)]


def test_an_ordinary_twin_calls_for_nothing():
    assert said(rod_length_mm=150.0) == []


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ({"bore_mm": 83.0}, "the bores of front and rear are 1.000 mm apart"),
        ({"stroke_mm": 76.9}, "the strokes of front and rear are 1.100 mm apart"),
        ({"deck_height_mm": 0.2}, "the decks of front and rear are 0.500 mm apart"),
        ({"chamber_volume_cc": 52.5}, "the chambers of front and rear differ by 5%: 50 and 52.5 cc"),
    ],
)
def test_cylinders_of_one_engine_that_are_unlike_are_told(change, words):
    """Bore or stroke 1 mm apart or more, deck 0.5 mm (0.30 proud, 0.20 below), chamber 5 %."""
    ((about, cylinder, text),) = said(rear=replace(REAR, **change))
    assert (about, cylinder) == ("cylinders unlike", "")
    assert text.startswith(words)


@pytest.mark.parametrize(
    ("window", "aims", "words"),
    [
        ("quench", (0.8, 1.0), "the quench aims of front and rear differ: 0.800 mm and 1.000 mm."),
        ("compression", (9.5, 10.5), "the ratios aimed at in front and rear differ: 9.5 and 10.5."),
    ],
)
def test_aims_of_one_engine_that_differ_are_told(window, aims, words):
    front, rear = (
        replace(one, **{window: replace(getattr(one, window), low=aim - 0.5, high=aim + 0.5, aim=aim)})
        for one, aim in zip((FRONT, REAR), aims, strict=True)
    )
    unlike = [(cylinder, text) for about, cylinder, text in said(front, rear) if about == "cylinders unlike"]
    assert [(cylinder, text.startswith(words)) for cylinder, text in unlike] == [("", True)]
    assert "cylinders unlike" not in [one[0] for one in said(front, front)]


def test_pistons_of_one_engine_that_are_unlike_are_told():
    """1 cc apart, or the word dish for dome; 0.9 cc is not told."""
    assert said(rear=replace(REAR, piston_volume_cc=FRONT.piston_volume_cc + 0.9)) == []
    ((about, _, text),) = said(rear=replace(REAR, piston_volume_cc=FRONT.piston_volume_cc - 1.0))
    assert about == "cylinders unlike"
    assert text.startswith("the piston volumes of front and rear are unlike: ")


def test_cylinders_just_below_the_limits_are_alike():
    change = {"bore_mm": 82.9, "deck_height_mm": 0.19, "chamber_volume_cc": 52.4}
    assert said(rear=replace(REAR, **change)) == []


def test_a_deck_of_more_than_a_millimetre_is_told():
    """2.8 mm is 110 thou where 11 thou was meant."""
    front, rear = replace(FRONT, deck_height_mm=2.8), replace(REAR, deck_height_mm=2.7)
    assert [(about, name) for about, name, _ in said(front, rear)] == [
        ("deck far out", "front"),
        ("deck far out", "rear"),
    ]


def test_a_piston_volume_that_is_not_stated_is_told():
    assert [one[:2] for one in said(replace(FRONT, stated=Stated(piston_volume=False)))] == [
        ("piston volume not stated", "front")
    ]


@pytest.mark.parametrize("rod_length_mm", [60.0, 78.0, 250.0])
def test_a_rod_out_of_proportion_to_the_stroke_is_told(rod_length_mm):
    """Rod and stroke exchanged, or one of them in another unit; the stroke is 78 mm."""
    assert [one[0] for one in said(rod_length_mm=rod_length_mm)] == ["unusual rod"]


def test_an_unusual_ratio_is_told_where_no_window_is_stated():
    fitted = replace(
        answers.FITTED,
        cylinders=tuple(
            replace(one, compression_ratio=ratio)
            for one, ratio in zip(answers.FITTED.cylinders, (5.9, 14.1), strict=True)
        ),
    )
    open_ones = [replace(one, compression=None) for one in (FRONT, REAR)]
    assert [one[:2] for one in said(*open_ones, fitted=fitted)] == [
        ("unusual ratio", "front"),
        ("unusual ratio", "rear"),
    ]
    assert said(fitted=fitted) == []


def test_the_guide_names_everything_that_a_caution_can_be_about():
    assert [about for about in About if f"`{about}`" not in topic_text("fit")] == []


def test_valves_whose_pockets_are_not_described_are_told():
    """Slanted ones alone: over an upright valve both pockets are the same. An overhead cam turns with the stack."""
    slanted = Valve("intake", 2.4, 1.0, angle_deg=28.0)
    assert [one[:2] for one in said(replace(FRONT, valves=(slanted,)))] == [("pockets not stated", "front")]
    assert said(replace(FRONT, valves=(replace(slanted, angle_deg=0.0),))) == []
    cam = ValveTrain(Drive.OVERHEAD_CAM, 1.0, sprocket_radius_mm=32.0)
    described = replace(slanted, pocket=Pocket.DECK)
    assert [one[0] for one in said(replace(FRONT, valves=(described,), valve_train=cam))] == ["retard not counted"]
    assert said(replace(FRONT, valves=(replace(described, lift_mm_per_deg=0.05),), valve_train=cam)) == []
