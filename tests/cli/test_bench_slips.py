"""A slip at the bench never comes back as a plain proven answer: it is refused, or a caution names it.

Each case is an engine that is right but for one slip; what is to be said was decided before the program was asked.
Slips that no arithmetic can tell (87 for 78 mm of stroke) show in what was read alone, which is tested too.
"""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from tests.cli.test_fit import call

STOCK = "part number,kind,fits,thickness (mm),tolerance (mm),opening (mm),on hand,unit cost\n" + "".join(
    [f"BG-{t:03d},base gasket,KV82,{t / 100},0.02,,6,4.80\n" for t in (25, 40, 50, 65, 80, 100)]
    + [f"HG-{t:03d},head gasket,KV82,{t / 100},0.03,84.0,6,18.00\n" for t in (25, 32, 50, 60, 71, 81, 95, 110)]
)
MM = """\
engine = "HC-09"
family = "KV82"
stroke = "78 mm"
rod_length = "150 mm"
due = 2027-03-19

[quench]
min = "0.76 mm"
max = "1.02 mm"
aim = "0.89 mm"

[[cylinder]]
name = "front"
bore = "82.00 mm"
chamber_volume = "50.2 cc"
piston_volume = "6.4 cc dome"
deck = "0.11 mm proud"

[[cylinder]]
name = "rear"
bore = "82.00 mm"
chamber_volume = "50.6 cc"
piston_volume = "6.4 cc dome"
deck = "0.13 mm below"
"""
INCH = """\
engine = "HC-10"
family = "KV82"
stroke = "3.070 in"
rod_length = "5.905 in"

[quench]
min = "0.030 in"
max = "0.040 in"
aim = "0.035 in"

[[cylinder]]
name = "front"
bore = "3.228 in"
chamber_volume = "50.2 cc"
piston_volume = "6.4 cc dome"
deck = "0.004 in proud"

[[cylinder]]
name = "rear"
bore = "3.228 in"
chamber_volume = "50.6 cc"
piston_volume = "6.4 cc dome"
deck = "0.005 in below"
"""
READ = """\
engine = "HC-11"
family = "KV82"
stroke = "78 mm"
rod_length = "150 mm"

[quench]
min = "0.76 mm"
max = "1.02 mm"

""" + "".join(
    f"""\
[[cylinder]]
name = "{name}"
bore = "82.00 mm"
chamber_volume = ["{chamber} cc", "{chamber} cc"]
piston_volume = "6.4 cc dome"

[[cylinder.reading]]
where = "pin end one"
instrument = "dial indicator"
side = "{side}"
value = ["0.11 mm", "0.12 mm"]

[[cylinder.reading]]
where = "pin end two"
instrument = "dial indicator"
side = "{side}"
value = ["0.12 mm", "0.11 mm"]

"""
    for name, side, chamber in (("front", "proud", 50.2), ("rear", "below", 50.6))
)
RATIO = "[compression]\nmin = 9.0\nmax = 10.0\naim = 9.5\n"
INTAKE = '[intake]\ncloses = "58 deg"\nat_lift = "1 mm"\npin_offset = "1.0 mm"\n'
VALVE = (
    '[[valve]]\nname = "intake"\nclearance = "2.4 mm"\nat_stack = "0.90 mm"\nangle = "28 deg"\npocket = "valve"\n'
    'least = "2.0 mm"\n'
)
TRAIN = '[valve_train]\ndrive = "overhead cam"\nat_stack = "0.90 mm"\nsprocket_radius = "32 mm"\nlimit = "0.5 deg"\n'
HOT = "[hot]\n" + "".join(
    f'[[hot.part]]\nwhat = "{what}"\nlength = "{length} mm"\nmaterial = "{material}"\nrise = "{rise} K"\n'
    for what, length, material, rise in (
        ("cylinder", 110, "aluminium 356.0", 120),
        ("rod", 150, "steel 4340", 80),
        ("piston", 31, "aluminium 6061", 160),
    )
)
RUNNING = (
    '[running]\nspeed = "6500 rpm"\npiston_mass = "480 g"\nrod_section = "160 mm²"\nrod_material = "steel 4340"\n'
    'band_area = "1900 mm²"\nleast_quench = "0.60 mm"\n'
)
PORTS = '[ports]\nincluded_angle = "50 deg"\nat_stack = "0.95 mm"\nlimit = "0.4 mm"\n'
# What answers of engines without a slip say as well.
USUAL = frozenset({"before it runs", "spread not known", "deck readings", "ports"})


def with_table(table: str, base: str = MM) -> str:
    """The engine with a table before its cylinders."""
    return base.replace("[[cylinder]]", f"{table}\n[[cylinder]]", 1)


def with_line(line: str) -> str:
    """The engine with a line in its front cylinder."""
    return MM.replace('deck = "0.11 mm proud"', f'deck = "0.11 mm proud"\n{line}')


def told(folder: Path, text: str, *words: str) -> tuple[str, set[str]]:
    """What is refused, and what is cautioned of."""
    (folder / "stock.csv").write_text(STOCK, encoding="utf-8")
    (folder / "engine.toml").write_text(text, encoding="utf-8")
    files = str(folder / "engine.toml"), "--book", str(folder / "stock.csv")
    result = call("fit", *files, "--today", "2027-02-01", "--json", *words)
    assert "Traceback" not in result.stderr
    if result.exit_code == 2:
        return " ".join(result.stderr.split()), set()
    (engine,) = json.loads(result.stdout)["engines"]
    return "", {caution["about"] for caution in engine["cautions"]} - USUAL


def changed(text: str, *edits: str) -> str:
    """The text with each old line or part replaced once by the new one after it."""
    for old, new in zip(edits[::2], edits[1::2], strict=True):
        assert old in text, old
        text = text.replace(old, new, 1)
    return text


TABLES = {"intake": INTAKE, "valve": VALVE, "train": TRAIN, "hot": HOT, "running": RUNNING, "ports": PORTS}
RIGHT = {
    "mm": MM,
    "inch": INCH,
    "readings": READ,
    "inlet": with_table(VALVE.replace("intake", "inlet")),
    "ratio": with_table(RATIO),
} | {name: with_table(table) for name, table in TABLES.items()}


@pytest.mark.parametrize("text", [pytest.param(text, id=name) for name, text in RIGHT.items()])
def test_an_engine_without_a_slip_calls_for_nothing(tmp_path: Path, text: str) -> None:
    refused, abouts = told(tmp_path, text)
    assert (refused, abouts - {"retard not counted"}) == ("", set())


DECK, REAR_DECK, BORE, CHAMBER, DOME = "0.11 mm proud", "0.13 mm below", "82.00 mm", "50.2 cc", "6.4 cc dome"
VALUE = 'value = ["0.11 mm", "0.12 mm"]'
REFUSED = {
    "the bore's inches as mm": (changed(INCH, "3.228 in", "3.228 mm"), "a bore between"),
    "a bore's digits exchanged": (changed(MM, BORE, "28.00 mm"), "One of these is wrong"),
    "a stroke's decimal": (changed(MM, '"78 mm"', '"7.8 mm"'), "a stroke between"),
    "a chamber's decimal": (changed(MM, CHAMBER, "5.02 cc"), "smaller than the chamber"),
    "a chamber's decimal, up": (changed(MM, CHAMBER, "502 cc"), "a chamber volume between"),
    "a dome's decimal": (changed(MM, DOME, "64 cc dome"), "smaller than the chamber"),
    "a minus sign beside dome": (changed(MM, DOME, "-6.4 cc dome"), "leave the minus sign out"),
    "a volume in mm": (changed(MM, DOME, "6.4 mm dome"), "a volume with its unit"),
    "a bare number": (changed(MM, f'"{DOME}"', "6.4"), "number and unit together"),
    "a minus sign beside proud": (changed(MM, DECK, "-0.11 mm proud"), "Leave the minus sign out"),
    "a minus sign for a side": (changed(MM, DECK, "-0.11 mm"), "Say whether"),
    "no side": (changed(MM, DECK, "0.11 mm"), "Say whether"),
    "no unit": (changed(MM, DECK, "0.11 proud"), "Write the unit"),
    "n/a": (changed(MM, DECK, "n/a"), "a length, its unit and its side"),
    "a question mark": (changed(MM, DECK, "?"), "a length, its unit and its side"),
    "nothing": (changed(MM, DECK, ""), "a length, its unit and its side"),
    "0 for an unknown chamber": (changed(MM, CHAMBER, "0 cc"), "a chamber volume between"),
    "a decimal comma": (changed(MM, BORE, "82,00 mm"), "a point, not a comma"),
    "a window upside down": (changed(MM, '"0.76 mm"', '"1.76 mm"'), "lower end"),
    "an aim outside": (changed(MM, '"0.89 mm"', '"0.098 mm"'), "an aim inside its own window"),
    "thousandths as mm": (changed(MM, "0.76 mm", "30 mm", "1.02 mm", "40 mm", "0.89 mm", "35 mm"), "a quench between"),
    "ratios ten times": (changed(with_table(RATIO), "9.0", "90"), "a compression ratio between"),
    "a ratio in quotes": (changed(with_table(RATIO), "9.5", '"9.5:1"'), "without quotes"),
    "a key misspelt": (changed(MM, "chamber_volume", "chamber_vol"), "Did you mean chamber_volume?"),
    "a key with its unit": (changed(MM, f'bore = "{BORE}"', "bore_mm = 82.0"), "Did you mean bore?"),
    "a key in another table": (changed(MM, 'aim = "0.89 mm"', 'aim = "0.89 mm"\nbore = "82 mm"'), "It belongs in"),
    "a key twice": (with_line('deck = "0.12 mm proud"'), "in TOML"),
    "a table twice": (with_table('[quench]\nmin = "0.7 mm"\nmax = "0.9 mm"\n'), "in TOML"),
    "a name twice": (changed(MM, '"rear"', '"front"'), "no other cylinder"),
    "a rod no longer than half a stroke": (changed(MM, '"150 mm"', '"38 mm"'), "a rod length between"),
    "a date the other way": (changed(MM, "2027-03-19", '"19.3.2027"'), "a date"),
    "a family with its digits exchanged": (changed(MM, "KV82", "KV28"), "a family that some part"),
    "degrees after top": (changed(with_table(INTAKE), "58 deg", "238 deg"), "an intake closing between"),
    "minutes for degrees": (changed(with_table(INTAKE), "58 deg", "58'"), "an angle with its unit"),
    "a valve's clearance in in": (changed(with_table(VALVE), '"2.4 mm"', '"2.4 in"'), "a valve clearance between"),
    "a sprocket's decimal": (changed(with_table(TRAIN), "32 mm", "320 mm"), "a sprocket radius between"),
    "a cam's limit in mm": (changed(with_table(TRAIN), "0.5 deg", "0.5 mm"), "an angle with its unit"),
    "heat without the cylinder": (changed(with_table(HOT), 'what = "cylinder"', 'what = "crankcase"'), "only half"),
    "heat without a rise": (changed(with_table(HOT), 'rise = "120 K"\n', ""), "how much hotter"),
    "a hot part copied": (changed(with_table(HOT), 'what = "rod"', 'what = "cylinder"'), "stands there twice"),
    "kg for g": (changed(with_table(RUNNING), "480 g", "480 kg"), "a moving mass between"),
    "a mass's decimal": (changed(with_table(RUNNING), "480 g", "4.8 kg"), "between 0.02 and 2 kg"),
    "g for kg": (changed(with_table(RUNNING), "480 g", "0.480 g"), "a moving mass between"),
    "a length for a section": (changed(with_table(RUNNING), "160 mm²", "160 mm"), "an area with its unit"),
    "steel of no kind": (changed(with_table(RUNNING), "steel 4340", "steel"), "Did you mean steel 4340?"),
    "a band's decimal": (changed(with_table(RUNNING), "1900 mm²", "19000 mm²"), "smaller than the bore"),
    "a V's decimal": (changed(with_table(PORTS), "50 deg", "500 deg"), "an included angle between"),
    "a recess without a side": (with_line('band_recess = "0.20 mm"'), "recessed from the head's"),
    "a chance in per cent": (changed(MM, 'aim = "0.89 mm"', "chance = 95"), "a chance between 0 and 1"),
    "a volume's limit too large": (with_line('chamber_error_limit = "50 cc"'), "between 0 and 10 cc"),
    "no in quotes": (changed(MM, "due = 2027-03-19", 'quench_band = "no"'), "true or false"),
    "one pair of brackets": ("[cylinder]".join(MM.split("[[cylinder]]")[:2]), "two brackets"),
    "a repeat's minus sign": (changed(READ, VALUE, 'value = ["0.11 mm", "-0.12 mm"]'), "Leave the minus sign out"),
    "a repeat to the other side": (changed(READ, '"0.12 mm"]', '"0.12 mm below"]'), "the key side says, proud"),
    "a repeat's decimal comma": (changed(READ, VALUE, 'value = ["0,11 mm", "0.12 mm"]'), "a point, not a comma"),
    "a valve of neither side": (
        changed(with_table(VALVE), 'name = "intake"', 'name = "left"', 'least = "2.0 mm"\n', ""),
        "neither intake nor inlet nor exhaust",
    ),
    "no repeat": (changed(READ, VALUE, "value = []"), "number and unit together"),
    "repeats in one text": (changed(READ, VALUE, 'value = "0.11 mm, 0.12 mm"'), "a length with its unit"),
    "a place on a clock": (changed(READ, "pin end one", "3 o'clock"), "an angle from pin end one"),
    "a side's other word": (changed(READ, 'side = "proud"', 'side = "high"'), "proud or below"),
    "a feeler gauge with one figure": (changed(READ, "dial indicator", "feeler gauge"), "largest_in and smallest_not"),
    "leaves exchanged": (
        changed(READ, "dial indicator", "feeler gauge", VALUE, 'largest_in = "0.15 mm"\nsmallest_not = "0.10 mm"'),
        "a leaf thicker",
    ),
    "an instrument of another kind": (changed(READ, "dial indicator", "ruler"), "one of depth micrometer"),
    "a vernier without its step": (changed(READ, "dial indicator", "vernier"), "the step of the vernier"),
    "leaves to both sides": (
        changed(
            READ,
            'side = "proud"\n',
            "",
            "dial indicator",
            "feeler gauge",
            VALUE,
            'largest_in = "0.10 mm proud"\nsmallest_not = "0.15 mm below"',
        ),
        "a leaf to the same side",
    ),
    "two sides": (changed(MM, DECK, "0.11 mm proud below"), "a length, its unit and its side"),
    "a doubt beside the deck": (changed(MM, DECK, "0.11 ± 0.01 mm proud"), "a length, its unit and its side"),
    "a deck in both units": (changed(MM, DECK, "0.11 mm (0.004 in) proud"), "a length, its unit and its side"),
    "a fraction upside down": (INCH.replace('"3.228 in"', '"3 64/15 in"'), "One of these is wrong"),
    "a window's inches, ten times": (
        changed(INCH, "0.030 in", "0.30 in", "0.040 in", "0.40 in", "0.035 in", "0.35 in"),
        "a quench between 0 and 0.1969 in",
    ),
    "a deck's inches, a hundred times": (changed(INCH, "0.004 in", "0.4 in"), "between -0.3937 and 0.3937 in"),
    "curly quotes": (changed(MM, f'"{BORE}"', f"“{BORE}”"), "Write straight quotes"),
    "a ratio's decimal comma": (changed(with_table(RATIO), "9.5", "9,5"), "a point, not a comma"),
    "a colon": (changed(MM, f'bore = "{BORE}"', f'bore: "{BORE}"'), "with = between them"),
    "a remark without its sign": (changed(MM, "[quench]", "read on Tuesday\n[quench]"), "a remark begins with #"),
    "a date's month": (changed(MM, "2027-03-19", "2027-19-03"), "A date is year, month, day"),
    "a name for the engine": (changed(MM, 'engine = "HC-09"', 'title = "HC-09"'), "Did you mean engine?"),
    "a key of nothing here": (changed(MM, "[quench]", 'colour = "red"\n[quench]'), "Known here: engine, family"),
    "the thickness of a tolerance": (with_table('[gasket]\ntolerance = "5 %"\n'), "a length with its unit"),
    "a burette's start and end": (changed(READ, '["50.2 cc"', '["12.0 cc"'), "repeats that agree"),
    "a repeat's decimal": (changed(READ, '["50.2 cc"', '["5.02 cc"'), "repeats that agree"),
    "dome and dish in one list": (
        changed(READ, f'"{DOME}"', '["6.4 cc dome", "6.4 cc dish"]'),
        "repeats that agree",
    ),
    "a diameter for a radius": (
        READ.replace("pin end one", "across front")
        .replace("pin end two", "across back")
        .replace("side =", 'radius = "76 mm"\nside ='),
        "a radius smaller than half the bore",
    ),
    "a deck beside readings": (changed(READ, 'name = "front"', f'name = "front"\ndeck = "{DECK}"'), "not both"),
}


@pytest.mark.parametrize(("text", "words"), [pytest.param(*case, id=name) for name, case in REFUSED.items()])
def test_what_cannot_be_is_refused(tmp_path: Path, text: str, words: str) -> None:
    refused, abouts = told(tmp_path, text)
    assert words in refused, abouts


CAUTIONED = {
    "mm among inches": (changed(INCH, "0.004 in proud", "0.004 mm proud"), "units differ"),
    "an aim in inches": (changed(MM, '"0.89 mm"', '"0.035 in"'), "units differ"),
    "a deck in thousandths": (changed(MM, DECK, "4 thou proud"), "units differ"),
    "a window in mm": (
        changed(INCH, "0.030 in", "0.76 mm", "0.040 in", "1.02 mm", "0.035 in", "0.89 mm"),
        "units differ",
    ),
    "a chamber in cubic inches": (changed(MM, CHAMBER, "3.06 cu in"), "units differ"),
    "a resolution in inches": (changed(READ, VALUE, f'{VALUE}\nresolution = "0.001 in"'), "units differ"),
    "a repeat in inches": (changed(READ, VALUE, 'value = ["0.11 mm", "0.12 in"]'), "units differ"),
    "a match in inches": (with_table('[match]\nquench = "0.13 in"\n'), "units differ"),
    "an unlikely fineness": (changed(MM, DECK, "0.1134 mm proud"), "finer than any instrument"),
    "finer than its instrument": (changed(READ, VALUE, f'{VALUE}\nresolution = "0.1 mm"'), "finer than any instrument"),
    "a gasket in place forgotten": (
        READ.replace("side =", 'base_gasket_in_place = "0.40 mm"\nside =', 2),
        "cylinders unlike",
    ),
    "a gasket in place, a tenth": (
        READ.replace("side =", 'base_gasket_in_place = "0.04 mm"\nside ='),
        "unusual measure",
    ),
    "dead centre, a tenth": (READ.replace("side =", 'dead_centre = "0.0008 mm"\nside ='), "unusual measure"),
    "dead centre, ten times": (READ.replace("side =", 'dead_centre = "0.08 mm"\nside ='), "unusual measure"),
    "a vernier's readings": (READ.replace("0.12 mm", "0.15 mm").replace("0.11 mm", "0.10 mm"), "resolution not stated"),
    "a chance, a tenth": (changed(MM, 'aim = "0.89 mm"', "chance = 0.09"), "unusual measure"),
    "shims, ten times": (with_table("[base]\nshims = 10\n"), "unusual measure"),
    "a least running quench, a tenth": (changed(with_table(RUNNING), "0.60 mm", "0.06 mm"), "unusual measure"),
    "a least hot quench, a tenth": (
        changed(with_table(HOT), "[hot]", '[hot]\nleast_quench = "0.055 mm"'),
        "unusual measure",
    ),
    "bores as radii": (MM.replace(BORE, "41.00 mm"), "opening far wider"),
    "both bores too small": (MM.replace(BORE, "78.00 mm"), "opening far wider"),
    "a stroke as the crank's throw": (changed(MM, '"78 mm"', '"39 mm"'), "unusual rod"),
    "a deck's decimal": (changed(MM, DECK, "1.10 mm proud"), "deck far out"),
    "both decks' decimals": (changed(MM, DECK, "1.10 mm proud", REAR_DECK, "1.30 mm below"), "deck far out"),
    "chambers' digits exchanged": (changed(MM, CHAMBER, "20.5 cc", "50.6 cc", "20.6 cc"), "unusual ratio"),
    "a chamber of another engine": (changed(MM, CHAMBER, "53.5 cc"), "cylinders unlike"),
    "a dome and a dish": (changed(MM, DOME, "6.4 cc dish"), "cylinders unlike"),
    "a dome's digits exchanged": (changed(MM, DOME, "4.6 cc dome"), "cylinders unlike"),
    "a dome's decimal": (changed(MM, DOME, "0.64 cc dome"), "cylinders unlike"),
    "0 for an unknown dome": (changed(MM, DOME, "0 cc"), "cylinders unlike"),
    "no piston volume": (changed(MM, f'piston_volume = "{DOME}"\n', ""), "piston volume not stated"),
    "0 for an unknown deck": (changed(MM, DECK, "0 mm"), "deck stated as 0"),
    "a window's decimal": (changed(MM, '"0.76 mm"', '"0.076 mm"'), "window beyond practice"),
    "a window's other end": (changed(MM, '"1.02 mm"', '"2.01 mm"'), "window beyond practice"),
    "the numbers of inches as mm": (
        changed(MM, "0.76 mm", "0.030 mm", "1.02 mm", "0.040 mm", "0.89 mm", "0.035 mm"),
        "window beyond practice",
    ),
    "a window of another engine": (
        MM + '[cylinder.quench]\nmin = "1.2 mm"\nmax = "1.5 mm"\n',
        "cylinders unlike",
    ),
    "rod and stroke alike": (changed(MM, '"150 mm"', '"78 mm"'), "unusual rod"),
    "rod and stroke exchanged": (
        changed(MM, '"78 mm"', '"150 mm"', 'rod_length = "150 mm"', 'rod_length = "78 mm"'),
        "unusual rod",
    ),
    "a bore of another engine": (changed(MM, BORE, "83.00 mm"), "cylinders unlike"),
    "a day that is past": (changed(MM, "2027-03-19", "2026-03-19"), "due date passed"),
    "a year's digits exchanged": (changed(MM, "2027-03-19", "2072-03-19"), "unusual measure"),
    "a cut's decimal": (with_table('[levers]\ndeck_cut_max = "3 mm"\n'), "unusual measure"),
    "a burette's decimal": (with_line('burette_resolution = "10 cc"'), "unusual measure"),
    "a volume's limit": (with_line('chamber_error_limit = "2 cc"'), "unusual measure"),
    "a compression height's decimal": (with_line('compression_height = "110 mm"'), "unusual measure"),
    "a stroke of another engine": (with_line('stroke = "68 mm"'), "unusual measure"),
    "a lift a degree, ten times": (
        changed(with_table(VALVE), 'least = "2.0 mm"', 'least = "2.0 mm"\nlift_per_degree = "0.5 mm"'),
        "unusual measure",
    ),
    "a V's other half": (
        MM + MM[MM.index("[[cylinder]]") :].replace("front", "f").replace("rear", "r"),
        "more than two cylinders",
    ),
    "an intake's decimal": (changed(with_table(INTAKE), "58 deg", "5.8 deg"), "unusual measure"),
    "a lift's decimal": (changed(with_table(INTAKE), '"1 mm"\npin', '"10 mm"\npin'), "unusual measure"),
    "a pin offset's decimal": (changed(with_table(INTAKE), '"1.0 mm"', '"10 mm"'), "unusual measure"),
    "a clearance's decimal": (changed(with_table(VALVE), '"2.4 mm"', '"24 mm"'), "unusual measure"),
    "a valve's angle from the other axis": (changed(with_table(VALVE), "28 deg", "62 deg"), "unusual measure"),
    "a least clearance's decimal": (changed(with_table(VALVE), '"2.0 mm"', '"0.2 mm"'), "unusual measure"),
    "a stack's decimal": (changed(with_table(VALVE), '"0.90 mm"', '"9.0 mm"'), "unusual measure"),
    "a stack's decimal, down": (changed(with_table(VALVE), '"0.90 mm"', '"0.09 mm"'), "unusual measure"),
    "a sprocket's diameter": (changed(with_table(TRAIN), "32 mm", "64 mm"), "unusual measure"),
    "kelvin from zero": (changed(with_table(HOT), "120 K", "393 K"), "unusual measure"),
    "no rise": (changed(with_table(HOT), "120 K", "0 K"), "unusual measure"),
    "a hot length's decimal": (changed(with_table(HOT), '"110 mm"', '"11 mm"'), "unusual measure"),
    "another rod when hot": (changed(with_table(HOT), '"150 mm"\nmaterial', '"110 mm"\nmaterial'), "unusual measure"),
    "a mass of two rods": (changed(with_table(RUNNING), "480 g", "1.9 kg"), "unusual measure"),
    "a mass's decimal, down": (changed(with_table(RUNNING), "480 g", "48 g"), "unusual measure"),
    "a speed's decimal": (changed(with_table(RUNNING), "6500 rpm", "650 rpm"), "unusual measure"),
    "a speed's digits": (changed(with_table(RUNNING), "6500 rpm", "25000 rpm"), "unusual measure"),
    "a section's decimal": (changed(with_table(RUNNING), "160 mm²", "16 mm²"), "unusual measure"),
    "a section's decimal, up": (changed(with_table(RUNNING), "160 mm²", "1600 mm²"), "unusual measure"),
    "a band's decimal, down": (changed(with_table(RUNNING), "1900 mm²", "190 mm²"), "unusual measure"),
    "a V of five degrees": (changed(with_table(PORTS), "50 deg", "5.0 deg"), "unusual measure"),
    "a recess's decimal": (with_line('band_recess = "2.0 mm recessed"'), "unusual measure"),
    "a recess of one head": (with_line('band_recess = "0.6 mm proud"'), "cylinders unlike"),
    "a crevice's decimal": (with_line('crevice_volume = "12 cc"'), "unusual measure"),
    "an opening's decimal": (with_line('chamber_opening = "500 mm²"'), "unusual measure"),
    "an opening beyond the bore": (with_line('chamber_opening = "95 mm"'), "unusual measure"),
    "a tolerance's decimal": (with_table('[gasket]\ntolerance = "0.25 mm"\n'), "unusual measure"),
    "a match's decimal": (with_table('[match]\nquench = "1.3 mm"\n'), "unusual measure"),
    "a ratio's match": (with_table("[match]\ncompression = 1.0\n"), "unusual measure"),
    "an outlier among repeats": (changed(READ, VALUE, 'value = ["0.11 mm", "0.12 mm", "0.91 mm"]'), "repeats apart"),
    "a repeat's decimal": (changed(READ, VALUE, 'value = ["0.11 mm", "1.12 mm"]'), "repeats apart"),
    "an outlier of the burette": (changed(READ, '["50.2 cc"', '["53.2 cc"'), "repeats apart"),
    "one place read twice": (changed(READ, "pin end two", "pin end one"), "read once"),
    "one end and one across": (changed(READ, "pin end two", "across back"), "read once"),
    "across the pin alone": (
        changed(READ, "pin end one", "across front", "pin end two", "across back"),
        "readings unfit",
    ),
    "one end to the other side": (changed(READ, 'side = "proud"', 'side = "below"'), "tilt"),
    "a gasket in place at one end": (changed(READ, VALUE, f'{VALUE}\nbase_gasket_in_place = "0.40 mm"'), "tilt"),
    "a gasket under the other cylinder": (
        READ.replace('side = "proud"', 'side = "proud"\nbase_gasket_in_place = "0.40 mm"'),
        "cylinders unlike",
    ),
    "a resolution's decimal": (READ.replace("side =", 'resolution = "0.001 mm"\nside ='), "unusual measure"),
    "a burette's step, a hundredth": (with_line('burette_resolution = "0.001 cc"'), "unusual measure"),
    "a volume's limit, a hundredth": (with_line('chamber_error_limit = "0.002 cc"'), "unusual measure"),
    "a deck's limit, a hundredth": (with_line('deck_error_limit = "0.0002 mm"'), "unusual measure"),
    "a tolerance, a hundredth": (with_table('[gasket]\ntolerance = "0.0002 mm"\n'), "unusual measure"),
    "a ratio's end": (changed(with_table(RATIO), "10.0", "19.0"), "unusual measure"),
    "a recess forgotten": (with_line('band_recess = "0.25 mm recessed"'), "cylinders unlike"),
    "a cylinder copied": (
        changed(MM, "50.6 cc", CHAMBER, "0.13 mm below", DECK),
        "cylinders alike",
    ),
    "openings exchanged": (
        changed(with_line('chamber_opening = "3100 mm²"'), REAR_DECK, f'{REAR_DECK}"\nchamber_opening = "1300 mm²'),
        "cylinders unlike",
    ),
    "a piston of another engine": (
        changed(with_line('compression_height = "31 mm"'), REAR_DECK, f'{REAR_DECK}"\ncompression_height = "33 mm'),
        "cylinders unlike",
    ),
    "a band and a mouth wider than the bore": (
        with_table(RUNNING.replace("1900", "3100")).replace("deck =", 'chamber_opening = "3000 mm²"\ndeck ='),
        "unusual measure",
    ),
    "a valve's angle, a tenth": (changed(with_table(VALVE), "28 deg", "2.8 deg"), "unusual measure"),
    "a stack without its base gasket": (changed(with_table(VALVE + TRAIN), "0.90 mm", "0.50 mm"), "unusual measure"),
    "a stack of another mock-up": (
        with_table(VALVE.replace("0.90 mm", "1.90 mm").replace("2.4 mm", "3.6 mm")),
        "unusual measure",
    ),
    "a cam's limit, ten times": (changed(with_table(TRAIN), "0.5 deg", "5 deg"), "unusual measure"),
    "a pushrod's limit, ten times": (
        with_table('[valve_train]\ndrive = "pushrod"\nat_stack = "0.90 mm"\nlimit = "4 mm"\n'),
        "unusual measure",
    ),
    "a manifold's limit, ten times": (changed(with_table(PORTS), "0.4 mm", "4 mm"), "unusual measure"),
    "a manifold of another stack": (with_table(VALVE + PORTS.replace("0.95", "0.35")), "unusual measure"),
    "a lift without its unit": (changed(with_table(INTAKE), '"1 mm"\npin', '"0.050"\npin'), "unusual measure"),
    "heat without the piston": (with_table(HOT[: HOT.rindex("[[")]), "hot piston not stated"),
    "another piston when hot": (
        changed(with_table(HOT), 'deck = "0.11', 'compression_height = "25 mm"\ndeck = "0.11'),
        "unusual measure",
    ),
    "a cylinder not torqued": (changed(READ, VALUE, f"{VALUE}\ntorqued = false"), "not torqued"),
    "an error limit's decimal": (changed(READ, VALUE, f'{VALUE}\nerror_limit = "0.5 mm"'), "unusual measure"),
}


@pytest.mark.parametrize(("text", "about"), [pytest.param(*case, id=name) for name, case in CAUTIONED.items()])
def test_what_is_unlikely_is_said(tmp_path: Path, text: str, about: str) -> None:
    refused, abouts = told(tmp_path, text)
    assert about in abouts, refused


@pytest.mark.parametrize(
    ("text", "line"),
    [
        (changed(MM, '"78 mm"', '"87 mm"'), "front 0.11 mm proud 82.00 mm 87 mm 50.2 cc 6.4 cc dome"),
        (changed(MM, DECK, "0.11 mm below"), "front 0.11 mm below 82.00 mm 78 mm 50.2 cc 6.4 cc dome"),
        (MM.replace("dome", "dish"), "front 0.11 mm proud 82.00 mm 78 mm 50.2 cc 6.4 cc dish"),
        (MM.replace(" dome", ""), "front 0.11 mm proud 82.00 mm 78 mm 50.2 cc 6.4 cc dome"),
        (changed(INCH, "3.070 in", "3.70 in"), "front 0.004 in proud 3.228 in 3.70 in 50.2 cc 6.4 cc dome"),
        (
            changed(MM, '"front"', '"back"', '"rear"', '"front"'),
            "back 0.11 mm proud 82.00 mm 78 mm 50.2 cc 6.4 cc dome",
        ),
    ],
    ids=["stroke", "side", "dish", "bare piston", "inches", "front and rear"],
)
def test_what_no_arithmetic_tells_stands_in_what_was_read(tmp_path: Path, text: str, line: str) -> None:
    told(tmp_path, text)
    files = str(tmp_path / "engine.toml"), "--book", str(tmp_path / "stock.csv")
    printed = call("fit", *files, "--today", "2027-02-01").stdout
    assert line in [" ".join(one.split()) for one in printed.splitlines()]
