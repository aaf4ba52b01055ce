"""Slips of the pen that show in how an engine file is written, and what is refused outright."""

from __future__ import annotations

from pathlib import Path

import pytest

from stackopt.books.engine_text.engine_file import read_engine_file
from stackopt.engine.cautions import About, Units
from stackopt.engine.records import Engine
from stackopt.problems import InputError
from tests.books.engine_text.test_engine_file import FRONT, REAR, engine_text

INCH_TOP = {"stroke": '"3.000 in"', "rod_length": '"6 in"'}
INCH_QUENCH = {"min": '"0.030 in"', "max": '"0.040 in"'}
INCH_FRONT = {"bore": '"3.625 in"', "deck": '"0.012 in below"'}


def read(folder: Path, text: str) -> Engine:
    path = folder / "engine.toml"
    path.write_text(text, encoding="utf-8")
    return read_engine_file(path)


def refusal(folder: Path, text: str) -> str:
    with pytest.raises(InputError) as error:
        read(folder, text)
    return str(error.value)


def abouts(engine: Engine) -> list[str]:
    return [str(caution.about) for caution in engine.cautions]


def test_one_deck_in_mm_where_all_else_is_inch_is_told_with_its_place(tmp_path):
    """0.012 mm for 0.012 in: the slip moves the quench by 0.29 mm."""
    cylinders = FRONT | INCH_FRONT, REAR | INCH_FRONT | {"deck": '"0.012 mm below"'}
    engine = read(tmp_path, engine_text(INCH_TOP, INCH_QUENCH, cylinders=cylinders))
    assert abouts(engine) == ["units differ", "finer than any instrument"]
    (differ, finer) = engine.cautions
    assert (differ.cylinder, finer.cylinder) == ("rear", "rear")
    assert "most in inches, but in mm cylinder[2].deck '0.012 mm below'" in differ.text
    assert engine.units is Units.INCH


def test_decks_in_another_unit_than_bore_and_stroke_are_told(tmp_path):
    cylinders = FRONT | {"deck": '"4 thou proud"'}, REAR | {"deck": '"0.002 in below"'}
    engine = read(tmp_path, engine_text(cylinders=cylinders))
    assert abouts(engine) == ["units differ"]
    assert engine.units is Units.MM


@pytest.mark.parametrize("deck", ["0.11 mm proud", "0.115 mm proud", "0.0045 in below", "4.5 thou below", "0 mm"])
def test_decks_as_instruments_read_them_call_for_nothing_of_their_fineness(tmp_path, deck):
    engine = read(tmp_path, engine_text(cylinders=(FRONT | {"deck": f'"{deck}"'},)))
    assert "finer than any instrument" not in abouts(engine)


@pytest.mark.parametrize(
    "line", [{"deck": '"0.1127 mm proud"'}, {"bore": '"92.02341 mm"'}, {"chamber_volume": '"54.613 cc"'}]
)
def test_more_decimals_than_an_instrument_reads_are_told(tmp_path, line):
    (caution,) = read(tmp_path, engine_text(cylinders=(FRONT | line,))).cautions
    assert (caution.about, caution.cylinder) == (About.FINER_THAN_ANY_INSTRUMENT, "front")


@pytest.mark.parametrize("deck", ["-0.006 in proud", "-0.006 in below"])
def test_a_minus_sign_beside_a_side_is_refused(tmp_path, deck):
    assert "Leave the minus sign out" in refusal(tmp_path, engine_text(cylinders=(FRONT | {"deck": f'"{deck}"'},)))


@pytest.mark.parametrize("piston", ["60 cc", "60 cc dome", "-60 cc", "60 cc dish"])
def test_a_piston_larger_than_the_chamber_is_refused(tmp_path, piston):
    """54.6 cc of chamber."""
    said = refusal(tmp_path, engine_text(cylinders=(FRONT | {"piston_volume": f'"{piston}"'},)))
    assert "cylinder[1].piston_volume" in said
    assert "a piston volume smaller than the chamber, 54.6 cc" in said


def test_a_bowl_in_the_piston_may_be_said(tmp_path):
    bowl = FRONT | {"piston_volume": '"60 cc dish"', "bowl_in_piston": "true"}
    assert read(tmp_path, engine_text(cylinders=(bowl,))).cylinders[0].piston_volume_cc == -60
    assert "smaller than the chamber" in refusal(
        tmp_path, engine_text(cylinders=(bowl | {"piston_volume": '"60 cc dome"'},))
    )


def test_what_was_stated_is_kept_beside_what_is_reckoned_with(tmp_path):
    front, rear = read(tmp_path, engine_text(cylinders=(FRONT, REAR | {"piston_volume": ""}))).cylinders
    assert front.stated.written == {
        "deck": "0.11 mm proud",
        "bore": "92.02 mm",
        "stroke": "78 mm",
        "chamber volume": "54.6 cc",
        "piston volume": "3.1 cc",
    }
    assert (front.stated.deck_side, front.stated.piston_volume) == ("proud", True)
    assert (front.stated.quench_mm, front.stated.compression) == ((0.76, 0.89, 1.02), (9.2, 9.6, 9.9))
    assert (rear.stated.deck_side, rear.stated.piston_volume) == ("below", False)


def test_a_window_and_an_aim_that_were_not_stated_are_not_made_up(tmp_path):
    (front,) = read(tmp_path, engine_text(quench=None, compression={"min": "9"}, cylinders=(FRONT,))).cylinders
    assert (front.stated.quench_mm, front.stated.compression) == (None, (9, None, None))


@pytest.mark.parametrize("kept", [("cylinder",), ("rod", "piston"), ("crankcase", "rod"), ("cylinder", "piston")])
def test_half_of_a_hot_run_is_refused(tmp_path, kept):
    parts = "".join(
        f'[[hot.part]]\nwhat = "{what}"\nlength = "110 mm"\nmaterial = "steel 4340"\nrise = "90 K"\n' for what in kept
    )
    assert "else only half of the growth counts" in refusal(tmp_path, engine_text(tables="[hot]\n" + parts))


def test_a_tilt_and_a_rock_go_into_the_cylinder(tmp_path):
    """Ends 0.10 and 0.30 below: 0.20 askew; across 0.25 and 0.19: rock 0.06. Least quench: mean − 0.10 − 0.06."""
    places = (("pin end one", 0.10), ("pin end two", 0.30), ("front", 0.25), ("back", 0.19))
    readings = "".join(
        f'[[cylinder.reading]]\nwhere = "{where}"\ninstrument = "dial indicator"\nside = "below"\n'
        f'value = "{value} mm"\n'
        for where, value in places
    )
    (front,) = read(tmp_path, engine_text(cylinders=(FRONT | {"deck": ""},)) + readings).cylinders
    assert (front.tilt_mm, front.rock_mm) == (pytest.approx(0.20), pytest.approx(0.06))
    assert front.quench_ends_mm == (pytest.approx(0.76 + 0.16), 1.02)
