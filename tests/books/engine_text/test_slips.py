"""Slips of the pen that show in how an engine file is written, and what is refused outright."""

from __future__ import annotations

from pathlib import Path

import pytest

from stackopt.books.engine_text.engine_file import read_engine_file
from stackopt.engine.cautions import About, Units
from stackopt.engine.engine_records import Engine
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
    assert abouts(engine) == ["units differ"]
    (differ,) = engine.cautions
    assert differ.cylinder == "rear"
    assert "most in inches, but in mm cylinder[2].deck '0.012 mm below'" in differ.text
    assert engine.units is Units.INCH


def test_decks_in_another_unit_than_bore_and_stroke_are_told(tmp_path):
    cylinders = FRONT | {"deck": '"4 thou proud"'}, REAR | {"deck": '"0.002 in below"'}
    engine = read(tmp_path, engine_text(cylinders=cylinders))
    assert abouts(engine) == ["units differ"]
    assert engine.units is Units.MM


@pytest.mark.parametrize(
    "deck", ["0.11 mm proud", "0.112 mm proud", "0.0045 in below", "4.5 thou below", "1/64 in below", "0 mm"]
)
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


def readings(*lines: str) -> str:
    """Readings at both pin ends; `lines` are the further ones of each table."""
    return "".join(
        "\n".join((f'[[cylinder.reading]]\nwhere = "pin end {end}"\nside = "below"', *lines, ""))
        for end in ("one", "two")
    )


def test_a_reading_finer_than_the_step_stated_beside_it_is_told(tmp_path):
    """Half a step may be guessed: 0.15 with a step of 0.1 mm, not 0.11."""
    dial = 'instrument = "dial indicator"', 'resolution = "0.1 mm"'
    for value, told in (("0.11 mm", 2), ("0.15 mm", 0)):
        text = engine_text(cylinders=(FRONT | {"deck": ""},)) + readings(*dial, f'value = "{value}"')
        found = [one for one in read(tmp_path, text).cautions if one.about == "finer than any instrument"]
        assert len(found) == told
        assert all("finer than the resolution stated beside it, 0.1 mm" in one.text for one in found)


def test_a_volume_finer_than_its_burette_is_told(tmp_path):
    burette = FRONT | {"chamber_volume": '"54.6 cc"', "burette_resolution": '"0.5 cc"'}
    assert abouts(read(tmp_path, engine_text(cylinders=(burette,)))) == ["finer than any instrument"]


def test_volumes_in_two_units_are_told(tmp_path):
    """3.33 cu in are 54.6 cc."""
    engine = read(tmp_path, engine_text(cylinders=(FRONT, REAR | {"chamber_volume": '"3.33 cu in"'})))
    (caution,) = engine.cautions
    assert (caution.about, caution.cylinder) == ("units differ", "rear")
    assert caution.text.startswith("volumes are written in two units: most in cc, but in cubic inches")


@pytest.mark.parametrize(
    ("lines", "said"),
    [
        (('instrument = "feeler gauge"', 'value = "0.11 mm"'), "largest_in and smallest_not"),
        (
            ('instrument = "dial indicator"', 'largest_in = "0.10 mm"', 'smallest_not = "0.15 mm"'),
            "leaves are of a feeler gauge",
        ),
    ],
)
def test_a_reading_of_another_instrument_than_is_named_is_refused(tmp_path, lines, said):
    """Its step would be taken for that of the other: a feeler gauge has none, and what it showed would be exact."""
    assert said in refusal(tmp_path, engine_text(cylinders=(FRONT | {"deck": ""},)) + readings(*lines))


@pytest.mark.parametrize(
    ("value", "step_mm"),
    [
        ("0.11 mm", 0.01),
        ("0.1 mm", 0.1),
        ("0.112 mm", 0.01),
        ("0.004 in", 0.0254),
        ("0.01 in", 0.0254),
        ("0.0045 in", 0.01),
        ("4 thou", 0.0254),
        ("4.5 thou", 0.01),
        ("0 mm", 0.01),
    ],
)
def test_an_instrument_that_states_no_step_has_that_of_its_readings(tmp_path, value, step_mm):
    """A thousandth of an inch is 0.0254 mm; half a step goes into the rounding."""
    text = engine_text(cylinders=(FRONT | {"deck": ""},)) + readings(
        'instrument = "dial indicator"', f'value = ["{value}", "{value}"]'
    )
    (front,) = read(tmp_path, text).cylinders
    assert front.spread.deck_limits_mm == pytest.approx((step_mm / 2,))


@pytest.mark.parametrize(
    ("line", "said"),
    [
        ({"chamber_volume": '["12.0 cc", "66.6 cc"]'}, "repeats that agree within a fifth"),
        ({"piston_volume": '["3.1 cc dome", "3.1 cc dish"]'}, "repeats that agree within a fifth"),
    ],
)
def test_a_list_that_holds_no_repeats_is_refused(tmp_path, line, said):
    """A burette's start and end (54.6 cc between them), a dome and a dish."""
    assert said in refusal(tmp_path, engine_text(cylinders=(FRONT | line,)))


def test_repeats_of_a_volume_that_lie_apart_are_told(tmp_path):
    """Half a cc is passed over, common practice."""
    for other, told in (("55.0", []), ("55.2", ["repeats apart"])):
        line = {"chamber_volume": f'["54.6 cc", "{other} cc"]'}
        assert abouts(read(tmp_path, engine_text(cylinders=(FRONT | line,)))) == told


def test_a_radius_among_diameters_is_refused(tmp_path):
    bore = '[[cylinder.bore_reading]]\ndepth = "top"\nalong_pin = "92.02 mm"\nacross_pin = "46.01 mm"\n'
    said = refusal(tmp_path, engine_text(cylinders=(FRONT | {"bore": ""},)) + bore)
    assert "diameters of one bore, which agree within a tenth" in said


def test_what_is_known_is_not_called_unknown_where_another_line_cannot_be_read(tmp_path):
    """A comma in the bore is the only fault."""
    line = {"bore": '"92,02 mm"', "chamber_opening": '"5000 mm²"', "bowl_in_piston": "false"}
    said = refusal(tmp_path, engine_text(cylinders=(FRONT | line,)))
    assert "cylinder[1].bore" in said
    assert "a key known here" not in said


def test_a_table_that_stands_there_twice_is_refused(tmp_path):
    valve = '[[valve]]\nname = "intake"\nclearance = "2.4 mm"\nat_stack = "0.9 mm"\n'
    part = '[[hot.part]]\nwhat = "{}"\nlength = "110 mm"\nmaterial = "steel 4340"\nrise = "90 K"\n'
    assert "one table a valve, but intake stands there twice" in refusal(tmp_path, engine_text(tables=valve * 2))
    hot = "[hot]\n" + "".join(part.format(what) for what in ("cylinder", "rod", "rod"))
    assert "one table a part, but rod stands there twice" in refusal(tmp_path, engine_text(tables=hot))


def test_a_stroke_of_its_own_that_differs_from_the_engines_is_told(tmp_path):
    for own, told in (("78 mm", []), ("68 mm", ["unusual measure"])):
        assert abouts(read(tmp_path, engine_text(cylinders=(FRONT | {"stroke": f'"{own}"'},)))) == told


def test_a_bore_far_out_of_round_is_told_so(tmp_path):
    """A tenth is passed over, common practice."""
    bore = '[[cylinder.bore_reading]]\ndepth = "top"\nalong_pin = "92.02 mm"\nacross_pin = "{} mm"\n'
    for across, told in (("92.12", False), ("92.22", True)):
        text = engine_text(cylinders=(FRONT | {"bore": ""},)) + bore.format(across)
        (caution,) = read(tmp_path, text).cautions
        assert ("measure it again" in caution.text) is told
