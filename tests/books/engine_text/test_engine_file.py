"""Engine files: what a good one means, and what is said about each fault."""

from __future__ import annotations

import re
from datetime import date
from pathlib import Path

import pytest
from msgspec.structs import replace

from stackopt.books.engine_text import engine_file
from stackopt.books.engine_text.engine_file import read_engine_file
from stackopt.engine.cautions import About, Units
from stackopt.engine.engine_records import STREET_QUENCH_MM, Engine, Match, Window
from stackopt.problems import InputError, Problem

TOP = {
    "engine": '"R-17"',
    "family": '"KV"',
    "stroke": '"78 mm"',
    "rod_length": '"152 mm"',
    "due": "2027-02-12",
}
QUENCH = {"min": '"0.76 mm"', "max": '"1.02 mm"', "aim": '"0.89 mm"'}
COMPRESSION = {"min": "9.2", "max": "9.9", "aim": "9.6"}
FRONT = {
    "name": '"front"',
    "bore": '"92.02 mm"',
    "chamber_volume": '"54.6 cc"',
    "piston_volume": '"3.1 cc"',
    "deck": '"0.11 mm proud"',
}
REAR = FRONT | {"name": '"rear"', "deck": '"0.05 mm below"'}


def _lines(keys: dict[str, str]) -> str:
    return "".join(f"{key} = {value}\n" for key, value in keys.items() if value)


def engine_text(
    top: dict[str, str] | None = None,
    quench: dict[str, str] | None = QUENCH,
    compression: dict[str, str] | None = COMPRESSION,
    cylinders: tuple[dict[str, str], ...] = (FRONT, REAR),
    tables: str = "",
) -> str:
    text = _lines(TOP | (top or {}))
    if quench is not None:
        text += "[quench]\n" + _lines(quench)
    if compression is not None:
        text += "[compression]\n" + _lines(compression)
    return text + tables + "".join("[[cylinder]]\n" + _lines(one) for one in cylinders)


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


def test_every_key_of_the_contract_is_read(read):
    engine = read(engine_text())
    front = engine.cylinders[0]
    assert (engine.name, engine.family, engine.due, engine.rod_length_mm) == ("R-17", "KV", date(2027, 2, 12), 152.0)
    assert [cylinder.name for cylinder in engine.cylinders] == ["front", "rear"]
    assert (front.bore_mm, front.stroke_mm, front.chamber_volume_cc, front.piston_volume_cc) == (92.02, 78, 54.6, 3.1)
    assert front.deck_height_mm == -0.11
    assert front.quench == Window(0.76, 1.02, 0.89)
    assert front.compression == Window(9.2, 9.9, 9.6)
    assert (engine.priority, engine.shims, engine.opening_margin_mm, engine.match) == (1, 0, 0.0, Match())
    assert engine.cautions == ()


def reckoned(engine: Engine) -> Engine:
    """What is reckoned with, without how it was written."""
    cylinders = tuple(replace(cylinder, stated=None) for cylinder in engine.cylinders)
    return replace(engine, cylinders=cylinders, cautions=(), units=Units.MM)


def test_inches_and_millimetres_give_the_same_engine(read):
    inch = engine_text(
        {"stroke": '"3.000 in"', "rod_length": '"6 in"'},
        quench={"min": '"0.030 in"', "max": '"40 thou"'},
        cylinders=(FRONT | {"bore": '"3.625 in"', "deck": '"0.005 in below"', "chamber_volume": '"3.3 cu in"'},),
    )
    metric = engine_text(
        {"stroke": '"76.2 mm"', "rod_length": '"152.4 mm"'},
        quench={"min": '"0.762 mm"', "max": '"1.016 mm"'},
        cylinders=(FRONT | {"bore": '"92.075 mm"', "deck": '"0.127 mm below"', "chamber_volume": '"54.0773112 cc"'},),
    )
    assert reckoned(read(inch)) == reckoned(read(metric))
    assert (read(inch).units, read(metric).units) == (Units.INCH, Units.MM)


def test_the_rarer_keys_are_read(read):
    engine = read(
        engine_text(
            {"priority": "3"},
            quench=QUENCH | {"chance": "0.9"},
            tables='[match]\ncompression = 0.1\nquench = "0.13 mm"\n'
            '[base]\nshims = 2\n[gasket]\nopening_margin = "0.5 mm"\n',
            cylinders=(
                FRONT
                | {"fitted": '["B-040", "H-071"]', "crevice_volume": '"0.4 cc"', "band_recess": '"0.2 mm recessed"'},
                REAR | {"stroke": '"78.4 mm"', "band_recess": '"0.1 mm proud"', "piston_volume": '"2.0 cc dish"'},
            ),
        )
    )
    front, rear = engine.cylinders
    assert (engine.priority, engine.shims, engine.opening_margin_mm, engine.least_quench_chance) == (3, 2, 0.5, 0.9)
    assert engine.match == Match(quench_mm=0.13, compression=0.1)
    assert engine.pinned == {"front": ("B-040", "H-071")}
    assert (front.crevice_volume_cc, front.band_recess_mm, front.stroke_mm) == (0.4, 0.2, 78.0)
    assert (rear.piston_volume_cc, rear.band_recess_mm, rear.stroke_mm) == (-2.0, -0.1, 78.4)


def test_a_cylinder_may_ask_for_windows_of_its_own(read):
    text = engine_text() + '[cylinder.quench]\nmin = "0.9 mm"\nmax = "1.1 mm"\n[cylinder.compression]\nmin = 8.8\n'
    front, rear = read(text).cylinders
    assert (front.quench, front.compression) == (Window(0.76, 1.02, 0.89), Window(9.2, 9.9, 9.6))
    assert (rear.quench, rear.compression) == (Window(0.9, 1.1), Window(8.8))
    assert rear.compression.aim is None


def test_a_window_without_an_aim_aims_at_its_middle(read):
    window = read(engine_text(quench=QUENCH | {"aim": ""})).cylinders[0].quench
    assert window.aim == pytest.approx(0.89)


def test_no_quench_window_means_the_street_window_and_says_so(read):
    engine = read(engine_text(quench=None))
    assert engine.cylinders[0].quench == STREET_QUENCH_MM
    assert [(one.about, one.cylinder) for one in engine.cautions] == [
        (About.WINDOW_NOT_STATED, "front"),
        (About.WINDOW_NOT_STATED, "rear"),
    ]
    assert engine.cautions[0].words(Units.MM).startswith("no quench window is stated: the street window of 0.762 mm")


def test_a_window_beyond_common_practice_is_kept_and_told(read):
    engine = read(engine_text(quench=QUENCH | {"max": '"1.20 mm"'}))
    assert engine.cylinders[0].quench == Window(0.76, 1.20, 0.89)
    assert engine.cautions[0].cylinder == "front"
    assert engine.cautions[0].words(Units.MM) == "above 1.016 mm the quench band stops working (common practice)."


def test_a_chamber_without_a_band_asks_for_compression_alone_and_says_why(read):
    engine = read(engine_text({"quench_band": "false"}, quench=None))
    assert [cylinder.quench for cylinder in engine.cylinders] == [None, None]
    assert [(one.about, one.cylinder) for one in engine.cautions] == [
        (About.NO_QUENCH_BAND, "front"),
        (About.NO_QUENCH_BAND, "rear"),
    ]
    assert "compression alone is targeted" in engine.cautions[0].text
    assert "nothing is known here of contact" in engine.cautions[0].text


def test_one_cylinder_may_be_without_a_band(read):
    engine = read(engine_text(cylinders=(FRONT, REAR | {"quench_band": "false"})))
    assert [cylinder.quench for cylinder in engine.cylinders] == [Window(0.76, 1.02, 0.89), None]
    (caution,) = engine.cautions
    assert caution.cylinder == "rear"
    assert caution.text.startswith("the chamber has no quench band")


def test_every_key_that_is_read_stands_in_the_modules_map():
    """The map is what a builder is shown of the keys."""
    text = "".join(path.read_text(encoding="utf-8") for path in Path(engine_file.__file__).parent.glob("*.py"))
    keys = set(re.findall(r'\.(?:take|need|table|tables|has)\(\s*"(\w+)"', text))
    assert {"deck", "hot", "sprocket_radius", "largest_in"} <= keys
    assert keys - set(re.findall(r"\w+", engine_file.__doc__)) == set()


def test_a_byte_order_mark_is_passed_over(tmp_path):
    path = tmp_path / "engine.toml"
    path.write_text(engine_text(), encoding="utf-8-sig")
    assert read_engine_file(path).name == "R-17"


# Each row: the fault, the key it stands under, what is quoted of it, what was expected (its start), how to mend it.
FAULTS = {
    "a key that is not known": (
        engine_text({"stroke": "", "strok": '"78 mm"'}, cylinders=(FRONT | {"stroke": '"78 mm"'},)),
        ("strok", "strok", "a key known here", "Did you mean stroke?"),
    ),
    "a key of a cylinder misspelt": (
        engine_text(cylinders=(FRONT | {"Chamber-Volume": '"54.6 cc"'},)),
        ("cylinder[1].Chamber-Volume", "Chamber-Volume", "a key known here", "Did you mean chamber_volume?"),
    ),
    "a key that slipped into the table above it": (
        engine_text({"due": ""}, quench=QUENCH | {"due": "2027-02-12"}),
        (
            "quench.due",
            "due",
            "a key known here",
            "It belongs in the top of the file, above the first line in brackets.",
        ),
    ),
    "a length without its unit": (
        engine_text({"stroke": '"78"'}),
        ("stroke", "78", "a length with its unit", "Write the unit behind the number."),
    ),
    "a bare number for a length": (
        engine_text({"stroke": "78"}),
        ("stroke", "78", "a length with its unit", "Write number and unit together, in quotes."),
    ),
    "a unit that is none of length": (
        engine_text({"stroke": '"78 cc"'}),
        ("stroke", "78 cc", "a length with its unit", "'cc' is not a unit known here."),
    ),
    "a decimal comma": (
        engine_text({"stroke": '"78,5 mm"'}),
        ("stroke", "78,5 mm", "a length with its unit, as 0.5 mm", "Write a point, not a comma"),
    ),
    "a sign without a side": (
        engine_text(cylinders=(FRONT | {"deck": '"-0.11 mm"'},)),
        (
            "cylinder[1].deck",
            "-0.11 mm",
            "a length, its unit and its side",
            "Say whether the piston's flat stands proud",
        ),
    ),
    "a deck without a side": (
        engine_text(cylinders=(FRONT | {"deck": '"0.11 mm"'},)),
        (
            "cylinder[1].deck",
            "0.11 mm",
            "a length, its unit and its side",
            "Say whether the piston's flat stands proud",
        ),
    ),
    "a minus sign against its word": (
        engine_text(cylinders=(FRONT | {"deck": '"-0.11 mm below"'},)),
        ("cylinder[1].deck", "-0.11 mm below", "a length, its unit and its side", "Leave the minus sign out"),
    ),
    "a deck without a unit": (
        engine_text(cylinders=(FRONT | {"deck": '"0.11 proud"'},)),
        ("cylinder[1].deck", "0.11 proud", "a length, its unit and its side", "Write the unit behind the number."),
    ),
    "a deck as a bare number": (
        engine_text(cylinders=(FRONT | {"deck": "-0.11"},)),
        ("cylinder[1].deck", "-0.11", "a length, its unit and its side", "Write number and unit together"),
    ),
    "a deck of five inches": (
        engine_text(cylinders=(FRONT | {"deck": '"5 in below"'},)),
        ("cylinder[1].deck", "5 in below", "a deck between -0.3937 and 0.3937 in", "Check the number and its unit."),
    ),
    "no deck": (
        engine_text(cylinders=(FRONT | {"deck": ""},)),
        ("cylinder[1].deck", "", "the deck height, as deck", "Add the line."),
    ),
    "a recess without a side": (
        engine_text(cylinders=(FRONT | {"band_recess": '"0.2 mm"'},)),
        ("cylinder[1].band_recess", "0.2 mm", "a length, its unit and its side", "Say whether the quench band"),
    ),
    "a recess that is negative": (
        engine_text(cylinders=(FRONT | {"band_recess": '"-0.2 mm recessed"'},)),
        ("cylinder[1].band_recess", "-0.2 mm recessed", "a length, its unit and its side", "Leave the minus sign out"),
    ),
    "a dome that is negative": (
        engine_text(cylinders=(FRONT | {"piston_volume": '"-3.1 cc dome"'},)),
        ("cylinder[1].piston_volume", "-3.1 cc dome", "a volume with its unit", "The word says dome or dish"),
    ),
    "no cylinders": (
        engine_text(cylinders=()),
        ("cylinder", "", "one [[cylinder]] table for each cylinder", "Add the lines."),
    ),
    "a cylinder in single brackets": (
        engine_text(cylinders=()) + "[cylinder]\n" + _lines(FRONT),
        ("cylinder", "a table", "tables that each open with the line [[cylinder]]", "Write two brackets"),
    ),
    "two cylinders of one name": (
        engine_text(cylinders=(FRONT, REAR | {"name": '"Front "'})),
        ("cylinder[2].name", "Front ", "a name that no other cylinder", "Rename one of them."),
    ),
    "a cylinder without a name": (
        engine_text(cylinders=(FRONT | {"name": ""},)),
        ("cylinder[1].name", "", "the name of the cylinder", "Add the line."),
    ),
    "a bore of two metres": (
        engine_text(cylinders=(FRONT | {"bore": '"2000 mm"'},)),
        ("cylinder[1].bore", "2000 mm", "a bore between 20 and 200 mm", "Check the number and its unit."),
    ),
    "no stroke": (
        engine_text({"stroke": ""}, cylinders=(FRONT,)),
        ("cylinder[1].stroke", "", "the stroke with its unit", "Add the line at the top of the file."),
    ),
    "no engine": (engine_text({"engine": ""}), ("engine", "", "the name of the engine", "Add the line.")),
    "no family": (engine_text({"family": ""}), ("family", "", "the family code", "Add the line.")),
    "a family that is a number": (engine_text({"family": "12"}), ("family", "12", "a name, in quotes", "")),
    "a quench window with one end": (
        engine_text(quench=QUENCH | {"max": "", "aim": ""}),
        ("quench.max", "", "both ends of the quench window", "Add the line."),
    ),
    "an aim outside its window": (
        engine_text(quench=QUENCH | {"aim": '"1.10 mm"'}),
        ("quench.aim", "1.10 mm", "an aim inside its own window", "Move the aim or the ends."),
    ),
    "a window upside down": (
        engine_text(compression={"min": "9.9", "max": "9.2"}),
        ("compression.min", "9.9", "a lower end that does not lie above the upper, 9.2", ""),
    ),
    "a compression window without an end": (
        engine_text(compression={"aim": "9.5"}),
        ("compression.min", "", "at least one end of the window", "Add min, max or both."),
    ),
    "a ratio in quotes": (
        engine_text(compression={"min": '"9.2"'}),
        ("compression.min", "9.2", "a compression ratio", "Write the number without quotes."),
    ),
    "a ratio of ninety-two": (
        engine_text(compression={"min": "92"}),
        ("compression.min", "92", "a compression ratio between 1.5 and 30", "Check the number"),
    ),
    "a ratio that is no number": (
        engine_text(compression={"min": "nan"}),
        ("compression.min", "nan", "a compression ratio", ""),
    ),
    "compression asked without a chamber volume": (
        engine_text(cylinders=(FRONT | {"chamber_volume": ""},)),
        ("cylinder[1].chamber_volume", "", "the chamber volume", "Measure the chamber with a burette"),
    ),
    "a quench window without a band": (
        engine_text({"quench_band": "false"}),
        ("quench", "a table", "no [quench] table where no cylinder has a quench band", "Take one of the two out."),
    ),
    "no band and nothing asked": (
        engine_text(compression=None, cylinders=(FRONT | {"quench_band": "false"},), quench=None),
        ("cylinder[1].quench_band", "false", "a window on compression", "Add a [compression] table"),
    ),
    "a quench window of a cylinder without a band": (
        engine_text(cylinders=(FRONT, REAR | {"quench_band": "false"})) + '[cylinder.quench]\nmin="1 mm"\nmax="2 mm"\n',
        ("cylinder[2].quench", "a table", "no [quench] table where quench_band is false", "Take one of the two out."),
    ),
    "a chance above one": (
        engine_text(quench=QUENCH | {"chance": "90"}),
        ("quench.chance", "90", "a chance between 0 and 1", ""),
    ),
    "a priority of zero": (engine_text({"priority": "0"}), ("priority", "0", "a whole number, 1 or more", "")),
    "a priority in words": (engine_text({"priority": '"high"'}), ("priority", "high", "a whole number, 1 or more", "")),
    "a band that is a word": (
        engine_text({"quench_band": '"no"'}),
        ("quench_band", "no", "true or false", "Write it without quotes."),
    ),
    "a due day in words": (engine_text({"due": '"spring"'}), ("due", "spring", "a date, as 2027-02-12", "")),
    "a table that is a value": (
        engine_text({"match": "3"}),
        ("match", "3", "a table that opens with the line [match]", ""),
    ),
    "fitted parts that are no list": (
        engine_text(cylinders=(FRONT | {"fitted": '"B-040"'},)),
        ("cylinder[1].fitted", "B-040", "a list of part numbers", ""),
    ),
    "a fitted part without a number": (
        engine_text(cylinders=(FRONT | {"fitted": '["B-040", 7]'},)),
        ("cylinder[1].fitted", "7", "a name, in quotes", ""),
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
    assert problem.place.file.endswith("engine.toml")


def test_all_faults_of_a_file_are_told_at_once(problems):
    text = engine_text({"stroke": "78", "colour": '"red"'}, cylinders=(FRONT | {"deck": '"-0.11 mm"'},))
    assert [problem.place.item for problem in problems(text)] == ["stroke", "cylinder[1].deck", "colour"]


def test_a_text_that_is_not_toml_says_where_reading_stopped(problems):
    (problem,) = problems('engine = "R-17\n')
    assert problem.expected == "an engine file in TOML"
    assert "line 1" in problem.mend


def test_a_nest_too_deep_to_read_is_not_toml(problems):
    (problem,) = problems("a = " + "[" * 100_000)
    assert problem.expected == "an engine file in TOML"


def test_a_file_that_is_no_text_is_not_toml(tmp_path):
    path = tmp_path / "engine.xlsx"
    path.write_bytes(b"PK\x03\x04\xff\xfe\x00")
    with pytest.raises(InputError, match=r"expected an engine file in TOML\. This file is not plain text"):
        read_engine_file(path)


def test_a_missing_file_is_named(tmp_path):
    with pytest.raises(InputError, match=r"missing\.toml: expected an engine file that can be opened. The system says"):
        read_engine_file(tmp_path / "missing.toml")


def test_a_directory_is_no_engine_file(tmp_path):
    with pytest.raises(InputError, match="expected an engine file that can be opened"):
        read_engine_file(tmp_path)


def test_a_window_of_one_point_may_be_written_in_two_units(read):
    """0.0299212598425197 in is 0.76 mm and a rounding more, as 1 in is 25.4 mm."""
    quench = {"min": '"0.0299212598425197 in"', "max": '"0.76 mm"'}
    assert read(engine_text(quench=quench)).cylinders[0].quench == Window(0.76, 0.76)
