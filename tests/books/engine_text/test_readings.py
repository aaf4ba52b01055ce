"""Readings in an engine file: what they give, and what is said about each fault."""

from __future__ import annotations

from pathlib import Path

import pytest

from stackopt.books.engine_text.engine_file import read_engine_file
from stackopt.engine.cautions import Units
from stackopt.engine.engine_records import Engine
from stackopt.problems import InputError, Problem

TOP = """
engine = "R-18"
family = "KV"
stroke = "78 mm"
[quench]
min = "0.76 mm"
max = "1.02 mm"
[[cylinder]]
name = "front"
"""
BORE = 'bore = "92.02 mm"\n'
ENDS = """
[[cylinder.reading]]
where = "pin end one"
value = ["0.12 mm", "0.13 mm"]
side = "proud"
instrument = "dial indicator"
[[cylinder.reading]]
where = "Pin end 2"
value = ["0.11 mm proud", "0.10 mm proud"]
instrument = "Depth micrometer"
torqued = true
"""


@pytest.fixture
def read(tmp_path: Path):
    def read_text(text: str) -> Engine:
        path = tmp_path / "engine.toml"
        path.write_text(text, encoding="utf-8")
        return read_engine_file(path)

    return read_text


@pytest.fixture
def problems(read):
    def problems_of(text: str) -> tuple[Problem, ...]:
        with pytest.raises(InputError) as error:
            read(text)
        return error.value.problems

    return problems_of


def test_readings_stand_in_for_a_deck_height(read):
    """Means −0.125 and −0.105: −0.115 in the mean."""
    engine = read(TOP + BORE + ENDS)
    (front,) = engine.cylinders
    assert front.deck_height_mm == pytest.approx(-0.115)
    assert front.spread.deck_mm > 0
    assert engine.cautions[0].words(Units.MM).startswith("deck height 0.115 mm proud ±")


def test_a_base_gasket_in_place_an_instrument_and_leaves(read):
    """Leaves 0.10 and 0.14 mm bracket 0.12 ± 0.02 at both ends alike; 0.12 − 0.40 = −0.28."""
    ends = "".join(
        f'[[cylinder.reading]]\nwhere = "{where}"\ninstrument = "feeler gauge"\nside = "below"\n'
        'largest_in = "0.10 mm"\nsmallest_not = "0.14 mm"\n'
        'base_gasket_in_place = "0.40 mm"\nbase_gasket_tolerance = "0.02 mm"\n'
        for where in ("pin end one", "180 deg")
    )
    (front,) = read(TOP + BORE + ends).cylinders
    assert front.deck_height_mm == pytest.approx(-0.28)
    assert front.spread.deck_limits_mm == pytest.approx((0.02, 0.02))


def test_the_resolution_and_error_limit_of_an_instrument(read):
    """Alike repeats at both places leave half the resolution, one error in all of them, and the error limit."""
    ends = "".join(
        f'[[cylinder.reading]]\nwhere = "{where}"\ninstrument = "dial indicator"\nside = "below"\nradius = "30 mm"\n'
        'value = ["0.001 in", "0.001 in"]\nresolution = "0.001 in"\nerror_limit = "0.0002 in"\n'
        for where in ("across front", "across back")
    )
    (front,) = read(TOP + BORE + ends).cylinders
    assert front.deck_height_mm == pytest.approx(0.0254)
    assert front.spread.deck_limits_mm == pytest.approx((0.0254 / 2, 0.00508))


def test_bore_readings_stand_in_for_a_bore(read):
    text = TOP + (
        'deck = "0.1 mm below"\n[[cylinder.bore_reading]]\ndepth = "top"\nalong_pin = "92.02 mm"\n'
        'across_pin = "92.04 mm"\n[[cylinder.bore_reading]]\ndepth = "bottom"\nalong_pin = "92.00 mm"\n'
    )
    engine = read(text)
    assert engine.cylinders[0].bore_mm == pytest.approx(92.02)
    said = [caution.words(Units.MM) for caution in engine.cautions]
    assert "bore 92.020 mm in the mean, taper 0.030 mm, out of round 0.020 mm." in said


def test_repeats_of_the_burette_give_the_volume_its_spread(read):
    """(54.4, 54.6, 54.8): mean 54.6, s 0.2, u = 0.2/√3 with ν = 2; a step of 0.2 cc adds 0.1/√3 to it."""
    measured = 'deck = "0.1 mm below"\nchamber_volume = ["54.4 cc", "54.6 cc", "54.8 cc"]\n'
    (front,) = read(TOP + BORE + measured).cylinders
    assert front.chamber_volume_cc == pytest.approx(54.6)
    assert front.spread.chamber_cc == pytest.approx(0.2 / 3**0.5)
    assert front.spread.chamber_degrees_of_freedom == pytest.approx(2)
    (front,) = read(TOP + BORE + measured + 'piston_volume = "3 cc"\nburette_resolution = "0.2 cc"\n').cylinders
    assert front.spread.chamber_cc == pytest.approx((0.04 / 3 + 0.01 / 3) ** 0.5)
    assert front.spread.piston_cc == pytest.approx(0.1 / 3**0.5)


def _end(**changed: str) -> str:
    keys = {"where": '"pin end one"', "value": '"0.12 mm"', "side": '"proud"', "instrument": '"dial indicator"'}
    lines = (f"{key} = {value}\n" for key, value in (keys | changed).items() if value)
    return "[[cylinder.reading]]\n" + "".join(lines)


READING = "cylinder[1].reading[1]."
FAULTS = {
    "a deck height beside readings": (
        TOP + BORE + 'deck = "0.1 mm below"\n' + ENDS,
        ("cylinder[1].deck", "0.1 mm below", "either a deck height or readings", "Take one of the two out."),
    ),
    "neither deck nor readings": (TOP + BORE, ("cylinder[1].deck", "", "the deck height, as deck", "Add the line.")),
    "a reading across the pin alone": (
        TOP + BORE + _end(where='"across front"'),
        ("cylinder[1].reading", "across front", "a reading at each end of the wrist pin", "Off the pin axis"),
    ),
    "a reading without a side": (
        TOP + BORE + _end(side=""),
        (READING + "value", "0.12 mm", "a length, its unit and its side", "Say whether the piston's flat"),
    ),
    "a reading that is a bare number": (
        TOP + BORE + _end(value="0.12"),
        (READING + "value", "0.12", "a length, its unit and its side", "Write number and unit together"),
    ),
    "a reading whose text and side disagree": (
        TOP + BORE + _end(value='"0.12 mm below"'),
        (READING + "value", "0.12 mm below", "the side that the key side says, proud", "Say whether"),
    ),
    "a side that is none": (
        TOP + BORE + _end(side='"left"', value='"0.12 mm proud"'),
        (READING + "side", "left", "a side: proud or below", ""),
    ),
    "a place that is none": (
        TOP + BORE + _end(where='"middle"'),
        (READING + "where", "middle", "pin end one, pin end two", ""),
    ),
    "an angle without its unit": (
        TOP + BORE + _end(where="30"),
        (READING + "where", "30", "pin end one, pin end two", ""),
    ),
    "an instrument misspelt": (
        TOP + BORE + _end(instrument='"dial indicater"'),
        (READING + "instrument", "dial indicater", "one of depth micrometer", "Did you mean dial indicator?"),
    ),
    "no instrument": (
        TOP + BORE + _end(instrument=""),
        (READING + "instrument", "", "the instrument: depth micrometer", "Add the line."),
    ),
    "leaves the wrong way round": (
        TOP + BORE + _end(value="", instrument='"feeler gauge"', largest_in='"0.14 mm"', smallest_not='"0.10 mm"'),
        (READING + "smallest_not", "0.10 mm", "a leaf thicker than the largest that goes in, 0.14 mm", ""),
    ),
    "one leaf only": (
        TOP + BORE + _end(value="", instrument='"feeler gauge"', largest_in='"0.14 mm"'),
        (READING + "smallest_not", "", "the smallest leaf that does not", "Add the line."),
    ),
    "a key of a reading that is not known": (
        TOP + BORE + _end() + "torque = true\n",
        (READING + "torque", "torque", "a key known here", "Did you mean torqued?"),
    ),
    "a key of the cylinder below its readings": (
        TOP + BORE + _end() + 'crevice_volume = "0.4 cc"\n',
        (READING + "crevice_volume", "crevice_volume", "a key known here", "It belongs in [[cylinder]]."),
    ),
    "a bore beside bore readings": (
        TOP + BORE + 'deck = "0 mm"\n[[cylinder.bore_reading]]\ndepth = "top"\nalong_pin = "92 mm"\n',
        ("cylinder[1].bore", "92.02 mm", "either a bore or bore readings", "Take one of the two out."),
    ),
    "a bore reading without a diameter": (
        TOP + 'deck = "0 mm"\n[[cylinder.bore_reading]]\ndepth = "top"\n',
        ("cylinder[1].bore_reading[1].along_pin", "", "a diameter along or across the pin", "Add a line"),
    ),
    "one burette reading without its unit": (
        TOP + BORE + 'deck = "0 mm"\nchamber_volume = ["54.4 cc", "54.6"]\n',
        ("cylinder[1].chamber_volume", "54.6", "a volume with its unit", "Write the unit behind the number."),
    ),
    "no burette reading": (
        TOP + BORE + 'deck = "0 mm"\nchamber_volume = []\n',
        ("cylinder[1].chamber_volume", "[]", "a volume with its unit", "Write number and unit together"),
    ),
}


@pytest.mark.parametrize(("text", "fault"), FAULTS.values(), ids=FAULTS)
def test_one_fault_gives_one_problem_that_says_where_what_and_how_to_mend(problems, text, fault):
    item, found, expected, mend = fault
    (problem,) = problems(text)
    assert (problem.place.item, problem.found) == (item, found)
    assert problem.expected.startswith(expected)
    assert problem.mend.startswith(mend)
    assert bool(problem.mend) == bool(mend)


def test_the_doubt_of_what_was_read_once_can_be_stated(read):
    """Limits are rectangular: a/√3. A burette's step of 0.1 cc is ± 0.05 beside the limit."""
    said = 'deck = "0.11 mm proud"\ndeck_error_limit = "0.01 mm"\nchamber_volume = "50.2 cc"\npiston_volume = "2 cc"\n'
    limits = 'burette_resolution = "0.1 cc"\nchamber_error_limit = "0.2 cc"\npiston_error_limit = "0.3 cc"\n'
    (front,) = read(TOP + BORE + said + limits + '[gasket]\ntolerance = "0.025 mm"\n').cylinders
    assert front.spread.deck_limits_mm == pytest.approx((0.01,))
    assert front.spread.deck_mm == pytest.approx(0.01 / 3**0.5)
    assert front.spread.chamber_limits_cc == pytest.approx((0.05, 0.2))
    assert front.spread.piston_limits_cc == pytest.approx((0.05, 0.3))
    assert front.spread.gasket_mm == pytest.approx(0.025)


def test_a_gasket_in_place_without_a_tolerance_is_left_out_or_has_the_default(read):
    ends = "".join(
        f'[[cylinder.reading]]\nwhere = "{where}"\ninstrument = "dial indicator"\nside = "below"\n'
        'value = "0.12 mm"\nbase_gasket_in_place = "0.40 mm"\n'
        for where in ("pin end one", "pin end two")
    )
    (front,) = read(TOP + BORE + ends).cylinders
    assert front.spread.unstated == ("base gasket in place",)
    (front,) = read(TOP + BORE + ends + '[gasket]\ntolerance = "0.03 mm"\n').cylinders
    assert (front.spread.unstated, front.spread.deck_limits_mm) == ((), pytest.approx((0.03,)))
