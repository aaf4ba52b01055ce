"""What moves with the stack, as an engine file states it."""

from __future__ import annotations

from pathlib import Path

import pytest

from stackopt.books.engine_text.engine_file import read_engine_file
from stackopt.engine.engine_records import Engine, Levers, Window
from stackopt.engine.moving import AtSpeed, Drive, HotPart, HotRun, IntakeClosing, PortSpan, Rod, Valve, ValveTrain
from stackopt.problems import InputError, Problem

HEAD = 'engine = "R-19"\nfamily = "KV"\nstroke = "78 mm"\nrod_length = "152 mm"\n'
QUENCH = '[quench]\nmin = "0.76 mm"\nmax = "1.02 mm"\n'
CYLINDER = (
    '[[cylinder]]\nname = "front"\nbore = "92.02 mm"\nchamber_volume = "54.6 cc"\ndeck = "0.11 mm proud"\n'
    '[[cylinder]]\nname = "rear"\nbore = "92.02 mm"\nchamber_volume = "54.6 cc"\ndeck = "0.05 mm below"\n'
)
INTAKE = '[intake]\ncloses = "58 deg"\nat_lift = "0.050 in"\npin_offset = "0.8 mm"\naltitude = "2800 ft"\n'
EFFECTIVE = "[effective_compression]\nmin = 7.5\nmax = 8.4\n"
VALVES = (
    '[[valve]]\nname = "intake"\nclearance = "2.4 mm"\nat_stack = "1.10 mm"\nangle = "12 deg"\n'
    '[[valve]]\nname = "exhaust"\nclearance = "0.110 in"\nat_stack = "1.10 mm"\nleast = "2.2 mm"\n'
)
OVERHEAD = '[valve_train]\ndrive = "overhead cam"\nat_stack = "1.1 mm"\nsprocket_radius = "32 mm"\nlimit = "0.8 deg"\n'
PUSHROD = '[valve_train]\ndrive = "pushrod"\nat_stack = "1.1 mm"\nlimit = "0.3 mm"\n'
HOT = (
    '[hot]\nleast_quench = "0.5 mm"\n'
    '[[hot.part]]\nwhat = "cylinder"\nlength = "110 mm"\nmaterial = "grey iron"\nrise = "120 K"\n'
    '[[hot.part]]\nwhat = "rod"\nlength = "152 mm"\nmaterial = "steel 4340"\nrise = "90 °F"\n'
)
RUNNING = (
    '[running]\nspeed = "6500 rpm"\npiston_mass = "1 lb"\nrod_section = "0.25 sq in"\nrod_material = "Steel 4340"\n'
    'band_area = "1900 mm²"\nleast_quench = "0.6 mm"\n'
)
PORTS = '[ports]\nincluded_angle = "45 deg"\nat_stack = "1.1 mm"\nlimit = "0.4 mm"\n'


@pytest.fixture
def read(tmp_path: Path):
    def read_text(*tables: str) -> Engine:
        path = tmp_path / "engine.toml"
        path.write_text("".join(tables), encoding="utf-8")
        return read_engine_file(path)

    return read_text


@pytest.fixture
def problems(read):
    def problems_of(*tables: str) -> tuple[Problem, ...]:
        with pytest.raises(InputError) as error:
            read(*tables)
        return error.value.problems

    return problems_of


def test_what_stands_at_the_top_counts_for_every_cylinder(read):
    """2800 ft = 853.44 m (1 ft = 0.3048 m exactly); 90 °F more is 50 K more; 0.110 in = 2.794 mm."""
    engine = read(HEAD, QUENCH, INTAKE, EFFECTIVE, VALVES, OVERHEAD, HOT, PORTS, CYLINDER)
    for cylinder in engine.cylinders:
        assert cylinder.effective == Window(7.5, 8.4)
        assert cylinder.intake == IntakeClosing(58.0, "0.050 in", 152.0, 0.8, pytest.approx(853.44))
        assert cylinder.valves == (Valve("intake", 2.4, 1.1, 12.0), Valve("exhaust", pytest.approx(2.794), 1.1, 0, 2.2))
        assert cylinder.valve_train == ValveTrain(Drive.OVERHEAD_CAM, 1.1, None, 32.0, 0.8)
        assert cylinder.hot == HotRun(
            (HotPart(110.0, 11.4e-6, 120.0),), (HotPart(152.0, 12.3e-6, pytest.approx(50.0)),), 0.5
        )
    assert engine.ports == PortSpan(45.0, 1.1, 0.4)


def test_a_cylinder_may_state_its_own(read):
    own = '[cylinder.valve_train]\ndrive = "lifter"\nat_stack = "1.2 mm"\n[[cylinder.valve]]\nname = "intake"\n'
    own += 'clearance = "3 mm"\nat_stack = "1.2 mm"\n'
    front, rear = read(HEAD, QUENCH, VALVES, PUSHROD, CYLINDER, own).cylinders
    assert front.valve_train == ValveTrain(Drive.PUSHROD, 1.1, 0.3)
    assert rear.valve_train == ValveTrain(Drive.LIFTER, 1.2)
    assert (len(front.valves), rear.valves) == (2, (Valve("intake", 3.0, 1.2),))


def test_what_runs_is_read_for_every_cylinder(read):
    """1 lb = 0.45359237 kg exactly, 1 sq in = 645.16 mm²."""
    engine = read(HEAD, QUENCH, RUNNING, CYLINDER)
    expected = AtSpeed(6500.0, 152.0, Rod(pytest.approx(0.45359237), pytest.approx(161.29), 207.0), 1900.0, 0.6)
    assert [cylinder.running for cylinder in engine.cylinders] == [expected, expected]
    band = '[running]\nspeed = "6500 rpm"\nband_area = "1900 mm²"\n'
    assert read(HEAD, QUENCH, band, CYLINDER).cylinders[0].running == AtSpeed(6500.0, 152.0, band_mm2=1900.0)


def test_nothing_is_stated_where_nothing_stands(read):
    engine = read(HEAD, QUENCH, CYLINDER)
    front = engine.cylinders[0]
    assert (front.effective, front.intake, front.valves, front.valve_train, front.hot) == (None, None, (), None, None)
    assert engine.ports is None


def test_levers_that_the_builder_allows(read):
    """A mouth 78 mm across has π/4·78² = 4778.36 mm²."""
    levers = '[levers]\nhead_cut_max = "0.5 mm"\ndeck_cut_max = "0.010 in"\nspacer_max = "2 mm"\npistons = true\n'
    own = 'compression_height = "32.5 mm"\nchamber_opening = '
    engine = read(HEAD, QUENCH, levers, CYLINDER + own + '"78 mm"\n')
    assert engine.levers == Levers(0.5, 0.254, 2.0, True)
    assert engine.cylinders[1].chamber_opening_mm2 == pytest.approx(4778.36, abs=5e-3)
    assert engine.cylinders[1].compression_height_mm == 32.5
    assert read(HEAD, QUENCH, CYLINDER + own + '"4800 mm²"\n').cylinders[1].chamber_opening_mm2 == 4800.0
    assert read(HEAD, QUENCH, CYLINDER).levers == Levers()


ONE_CYLINDER = CYLINDER[: CYLINDER.index("[[cylinder]]", 1)]
FAULTS = {
    "a rod without its section": (
        (RUNNING.replace('rod_section = "0.25 sq in"\n', ""),),
        ("running.rod_section", "", "the section of its beam", "Add the line."),
    ),
    "a speed without its unit": (
        (RUNNING.replace(" rpm", ""),),
        ("running.speed", "6500", "a speed, as 6500 rpm", "Write the unit behind the number."),
    ),
    "a band larger than the bore": (
        (RUNNING.replace("1900", "7000"),),
        ("cylinder[1].running", "", "a band_area in [running] smaller than the bore, 6651 mm²", "Measure the band"),
    ),
    "a rod of lead": (
        (RUNNING.replace("Steel 4340", "lead"),),
        ("running.rod_material", "lead", "", ""),
    ),
    "an angle as a bare number": (
        (INTAKE.replace('"58 deg"', "58"),),
        ("intake.closes", "58", "an angle with its unit", "Write number and unit together"),
    ),
    "an angle without its unit": (
        (INTAKE.replace("58 deg", "58"),),
        ("intake.closes", "58", "an angle with its unit", "Write the unit behind the number."),
    ),
    "a closing without its lift": (
        (INTAKE.replace('at_lift = "0.050 in"\n', ""),),
        ("intake.at_lift", "", "the lift at which that is stated", "Add the line."),
    ),
    "a closing an age after bottom dead centre": (
        (INTAKE.replace("58 deg", "158 deg"),),
        ("intake.closes", "158 deg", "an intake closing between 0 and 120 deg", "Check the number"),
    ),
    "an altitude in a unit that is none": (
        (INTAKE.replace("2800 ft", "2800 yd"),),
        ("intake.altitude", "2800 yd", "a height above sea level", "'yd' is not a unit known here."),
    ),
    "an effective window without a closing": (
        (EFFECTIVE,),
        ("cylinder[1].intake", "", "an [intake] table", "Add the table"),
    ),
    "an effective window with an aim": (
        (INTAKE, EFFECTIVE + "aim = 8.0\n"),
        ("effective_compression.aim", "aim", "a key known here", "It belongs in [quench]."),
    ),
    "a valve of no side without its least clearance": (
        (VALVES.replace('"intake"', '"left"'),),
        ("valve[1].least", "", "the least clearance of a valve whose name says neither", "Add least"),
    ),
    "a valve without the stack it was measured at": (
        ('[[valve]]\nname = "intake"\nclearance = "2.4 mm"\n',),
        ("valve[1].at_stack", "", "base and head gaskets together", "Add the line."),
    ),
    "an overhead cam without its sprocket": (
        (OVERHEAD.replace('sprocket_radius = "32 mm"\n', ""),),
        ("valve_train.sprocket_radius", "", "the pitch radius", "Add the line."),
    ),
    "a pushrod with a sprocket": (
        (PUSHROD + 'sprocket_radius = "32 mm"\n',),
        ("valve_train.sprocket_radius", "32 mm", "no sprocket_radius where the drive is a pushrod", "Take it out."),
    ),
    "a drive misspelt": (
        (PUSHROD.replace('"pushrod"', '"push rod"'),),
        ("valve_train.drive", "push rod", "one of pushrod, lifter, overhead cam", "Did you mean pushrod?"),
    ),
    "a material that is not in the table": (
        (HOT.replace("grey iron", "unobtainium"),),
        ("hot.part[1].material", "unobtainium", "one of aluminium 6061", ""),
    ),
    "a hot run without parts": (
        ('[hot]\nleast_quench = "0.5 mm"\n',),
        ("hot.part", "", "a [[hot.part]] table for each", "Add them."),
    ),
    "ports without their angle": (
        (PORTS.replace('included_angle = "45 deg"\n', ""),),
        ("ports.included_angle", "", "the angle of the V", "Add the line."),
    ),
}


@pytest.mark.parametrize(("tables", "fault"), FAULTS.values(), ids=FAULTS)
def test_one_fault_gives_one_problem_that_says_where_what_and_how_to_mend(problems, tables, fault):
    item, found, expected, mend = fault
    (problem,) = problems(HEAD, QUENCH, *tables, ONE_CYLINDER)
    assert (problem.place.item, problem.found) == (item, found)
    assert problem.expected.startswith(expected)
    assert problem.mend.startswith(mend)
    assert bool(problem.mend) == bool(mend)


def test_a_closing_needs_the_rods_length(problems):
    (problem,) = problems(HEAD.replace('rod_length = "152 mm"\n', ""), QUENCH, INTAKE, ONE_CYLINDER)
    assert problem.place.item == "intake"
    assert problem.expected.startswith("a rod_length too")


def test_a_rod_shorter_than_the_crank_is_refused(problems):
    (problem,) = problems(HEAD.replace("152 mm", "40 mm").replace("78 mm", "90 mm"), QUENCH, INTAKE, ONE_CYLINDER)
    assert problem.expected == "a rod_length beyond half the stroke and the pin offset, 45.8 mm"


def test_an_effective_window_needs_a_chamber_volume(problems):
    cylinder = ONE_CYLINDER.replace('chamber_volume = "54.6 cc"\n', "")
    (problem,) = problems(HEAD, QUENCH, INTAKE, EFFECTIVE, cylinder)
    assert problem.place.item == "cylinder[1].chamber_volume"
    assert "leave [effective_compression] out" in problem.mend


def test_a_faulty_intake_table_is_not_asked_for_once_more(problems):
    """It stands there: that the effective ratio needs one is no second fault."""
    (problem,) = problems(HEAD, QUENCH, INTAKE.replace("58 deg", "58"), EFFECTIVE, CYLINDER)
    assert problem.place.item == "intake.closes"
    (problem,) = problems(HEAD.replace('rod_length = "152 mm"\n', ""), QUENCH, INTAKE, EFFECTIVE, CYLINDER)
    assert (problem.place.item, problem.found) == ("intake", "")


def test_a_faulty_intake_table_of_one_cylinder_does_not_hide_that_another_has_none(problems):
    own = INTAKE.replace("[intake]", "[cylinder.intake]").replace("58 deg", "58")
    faulty, missing = problems(
        HEAD, QUENCH, EFFECTIVE, CYLINDER.replace('[[cylinder]]\nname = "rear"', own + '[[cylinder]]\nname = "rear"')
    )
    assert faulty.place.item == "cylinder[1].intake.closes"
    assert (missing.place.item, missing.expected[:17]) == ("cylinder[2].intake", "an [intake] table")
