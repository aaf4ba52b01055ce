"""The form of an engine: its fields are the keys of an engine file, so that the same reader checks both.

A field's name is the key's place, as ``cylinder[1].reading[2].value``; what is wrong comes back under the same name.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping

from stackopt.books.engine_text.engine_file import read_engine_table
from stackopt.books.engine_text.shop_tolerance import shop_tolerance_mm
from stackopt.engine.records import Cylinder, Engine, Window
from stackopt.problems import InputError, Place, Problem
from stackopt.units import MM_PER_INCH
from stackopt.web.forms.fields import FormReader, FurtherField
from stackopt.web.forms.further import add_further, further_form, further_of_cylinder, further_shared
from stackopt.web.forms.moving_form import moving_field

MOST_CYLINDERS = 4
TWO = ("front", "rear")
# Of a name: what is longer stands on no card.
MOST_LETTERS = 80
READINGS = (1, 2, 3, 4)
PLACES = ("pin end one", "pin end two", "across front", "across back")
INSTRUMENTS = ("dial indicator", "depth micrometer")
LENGTHS = ("stroke", "rod_length", "quench.min", "quench.aim", "quench.max")
MEASURES_OF_A_CYLINDER = {"bore": "", "chamber_volume": "cc"}
# What an engine file calls by its keys, and a form by their labels.
WORDS_OF_A_FILE = {
    "a [[hot.part]] table": "length, material and heat",
    "an [intake] table": "the intake's closing",
    **{key: key.replace("_", " ") for key in ("rod_length", "band_area", "pin_offset", "sprocket_radius")},
}
_COMMA = re.compile(r"(?P<whole>\d+),(?P<rest>\d+)(?P<unit>\s*[^\d.,]*)")

Form = Mapping[str, str]


def cylinders_of(form: Form) -> range:
    """Return the numbers of a form's cylinders: two where it does not say."""
    text = form.get("cylinders", "")
    count = int(text) if text.isascii() and text.isdecimal() and len(text) < 3 else 2
    return range(1, min(max(count, 1), MOST_CYLINDERS) + 1)


def names_of(form: Form) -> list[str]:
    """Return what a form's cylinders are called, the usual where nothing is typed."""
    numbers = cylinders_of(form)
    usual = TWO if len(numbers) == len(TWO) else tuple(f"cylinder {number}" for number in numbers)
    return [
        form.get(f"cylinder[{number}].name", "").strip() or name for number, name in zip(numbers, usual, strict=True)
    ]


def read_engine_form(form: Form, in_place_mm: float = 0.0) -> Engine:
    """Return the engine that a form describes.

    `in_place_mm` is the tolerance of a base gasket over which a deck was read.

    Raises
    ------
    InputError
        With a problem for each field that is wrong or empty; its place's item is the field's name.
    """
    problems: list[Problem] = []
    entries = _entries(form, problems)
    try:
        engine = read_engine_table(entries, "", in_place_mm)
    except InputError as error:
        raise InputError(*problems, *map(_for_the_page, error.problems)) from None
    if problems:
        raise InputError(*problems)
    return engine


def in_place_mm(ledger: str) -> float:
    """Return the tolerance that ``shop.toml`` beside the ledger states for gaskets whose list states none, mm.

    Raises
    ------
    InputError
        When what it says cannot be read.
    """
    return shop_tolerance_mm((), ledger)


def _for_the_page(problem: Problem) -> Problem:
    """Leave out what only the writer of a file can do: there is no line to add in a form."""
    mend = problem.mend if "line" not in problem.mend and "quotes" not in problem.mend else "Fill it in."
    expected = problem.expected.partition(", as ")[0].partition(", or [[")[0]
    for in_a_file, in_a_form in WORDS_OF_A_FILE.items():
        expected = expected.replace(in_a_file, in_a_form)
    return Problem(problem.place, problem.found, re.sub(r" in \[\w+\]", "", expected), mend)


def _entries(form: Form, problems: list[Problem]) -> dict[str, object]:
    """Return the form as the tables of an engine file."""
    unit = form.get("unit", "")
    named = {key: name_typed(form.get(key, ""), key, problems) for key in ("engine", "family")}
    top: dict[str, object] = {key: text for key, text in {**named, "due": form.get("due", "").strip()}.items() if text}
    measures = {name: typed(form.get(name, ""), unit, name, problems) for name in LENGTHS}
    top |= {name: text for name, text in measures.items() if text and "." not in name}
    if form.get("no_quench_band"):
        top["quench_band"] = False
    elif any(measures[f"quench.{end}"] for end in ("min", "aim", "max")):
        top["quench"] = {end: text for end in ("min", "aim", "max") if (text := measures[f"quench.{end}"])}
    ratios = {end: _ratio(form, f"compression.{end}", problems) for end in ("min", "aim", "max")}
    if any(value is not None for value in ratios.values()):
        top["compression"] = {end: value for end, value in ratios.items() if value is not None}
    add_further(top, form, _reader(form, problems))
    top["cylinder"] = [_cylinder(form, number, problems) for number in cylinders_of(form)]
    return top


def _cylinder(form: Form, number: int, problems: list[Problem]) -> dict[str, object]:
    at = f"cylinder[{number}]"
    entries: dict[str, object] = {"name": name_typed(names_of(form)[number - 1], f"{at}.name", problems)}
    for key, unit in MEASURES_OF_A_CYLINDER.items():
        text = typed(form.get(f"{at}.{key}", ""), unit or form.get("unit", ""), f"{at}.{key}", problems)
        if text:
            entries[key] = text
    crown = typed(form.get(f"{at}.piston_volume", ""), "cc", f"{at}.piston_volume", problems)
    if crown:
        entries["piston_volume"] = f"{crown} {form.get(f'{at}.piston_volume.way', '')}".strip()
    entries |= further_of_cylinder(at, form, _reader(form, problems))
    readings = list(_readings(form, at, problems))
    if readings:
        entries["reading"] = readings
    else:
        deck = typed(form.get(f"{at}.deck", ""), form.get(f"{at}.deck.unit", ""), f"{at}.deck", problems)
        side = form.get(f"{at}.deck.side", "")
        entries |= {"deck": f"{deck} {side}".strip()} if deck else {}
    return entries


def _reader(form: Form, problems: list[Problem]) -> FormReader:
    """Return what reads a further field: a number as such, a measure with its unit."""
    lengths = form.get("unit", "")

    def read(field: FurtherField, name: str) -> object:
        if field.options:
            return form.get(name, "").strip()
        text = typed(form.get(name, ""), lengths if field.unit == "length" else field.unit, name, problems)
        if not field.is_number or not text:
            return text
        try:
            return int(text) if text.isascii() and text.isdecimal() else float(text)
        except ValueError:
            problems.append(Problem(Place(item=name), text, "a number"))
            return ""

    return read


def _readings(form: Form, at: str, problems: list[Problem]) -> Iterator[dict[str, object]]:
    lay = typed(form.get(f"{at}.base_gasket", ""), form.get("unit", ""), f"{at}.base_gasket", problems)
    for number in READINGS:
        name = f"{at}.reading[{number}]"
        text = typed(form.get(f"{name}.value", ""), form.get(f"{name}.unit", ""), f"{name}.value", problems)
        if text:
            reading: dict[str, object] = {
                "where": form.get(f"{name}.where", PLACES[(number - 1) % 2]),
                "instrument": form.get(f"{at}.instrument", INSTRUMENTS[0]),
                "value": text,
            }
            reading |= {"side": side} if (side := form.get(f"{name}.side", "")) else {}
            yield reading | ({"base_gasket_in_place": lay} if lay else {})


def field_of_problem(form: Form, item: str) -> str:
    """Return the field that a problem belongs to: empty rows are left out when readings are counted."""
    shared = re.fullmatch(r"cylinder\[\d+\]\.(stroke|rod_length|running)", item)
    if shared is not None:
        return shared[1].replace("running", "running.band_area")
    match = re.match(r"(cylinder\[\d+\])\.reading\[(\d+)\](.*)", item)
    if match is None:
        return moving_field(form, item)
    filled = [n for n in READINGS if form.get(f"{match[1]}.reading[{n}].value", "").strip()]
    place = int(match[2]) - 1
    return f"{match[1]}.reading[{filled[place]}]{match[3]}" if place < len(filled) else item


def typed(text: str, unit: str, name: str, problems: list[Problem]) -> str:
    """Return a measure as an engine file has it: a point before the decimals, its unit behind it; empty for nothing.

    A comma is read as a decimal comma where it can be nothing else: ``0,11``, not ``1,234``.
    """
    plain = " ".join(text.replace("\u00a0", " ").split())
    match = _COMMA.fullmatch(plain)
    if match is not None:
        if len(match["rest"]) == 3 and match["whole"].strip("0"):
            mend = f"Write {match['whole']}.{match['rest']} or {match['whole']}{match['rest']}."
            problems.append(Problem(Place(item=name), plain, "a number with one reading", mend))
            return ""
        plain = f"{match['whole']}.{match['rest']}{match['unit']}"
    return f"{plain} {unit}".strip() if plain and re.search(r"[\d.]$", plain) else plain


def name_typed(text: str, field: str, problems: list[Problem]) -> str:
    """Return a name as it was typed, blanks in it as one; what no page could show or lead to is a problem."""
    name = " ".join(text.split())
    if len(name) > MOST_LETTERS:
        problems.append(Problem(Place(item=field), f"{len(name)} letters", f"a name of at most {MOST_LETTERS}"))
        return ""
    if not name.isprintable() or name in (".", ".."):
        seen = "".join(letter if letter.isprintable() else "□" for letter in name)
        problems.append(Problem(Place(item=field), seen, "a name of letters, digits and signs that can be seen"))
        return ""
    return name


def _ratio(form: Form, name: str, problems: list[Problem]) -> float | None:
    text = typed(form.get(name, ""), "", name, problems)
    try:
        return float(text) if text else None
    except ValueError:
        problems.append(Problem(Place(item=name), text, "a compression ratio, as 9.6"))
        return None


def form_of(engine: Engine, *, inch: bool) -> dict[str, str]:
    """Return the form that describes an engine as it is recorded: what came of its readings stands as its deck."""
    first = engine.cylinders[0]
    form = {"engine": engine.name, "due": engine.due.isoformat() if engine.due else "", **like(engine, inch=inch)}
    form |= further_form(engine, inch=inch)
    for number, cylinder in enumerate(engine.cylinders, start=1):
        deck = cylinder.deck_height_mm
        form[f"cylinder[{number}].deck"] = _written(abs(deck), inch=inch)
        form[f"cylinder[{number}].deck.unit"] = "in" if inch else "mm"
        form[f"cylinder[{number}].deck.side"] = "proud" if deck < 0 else "below"
    return form | ({"no_quench_band": "yes"} if first.quench is None else {})


def like(engine: Engine, *, inch: bool) -> dict[str, str]:
    """Return what a new engine takes from an earlier one: measures that its family shares, windows; no readings."""
    first = engine.cylinders[0]
    form = {"cylinders": str(len(engine.cylinders)), **further_shared(engine, inch=inch)}
    form |= {"family": engine.family, "unit": "in" if inch else "mm", "stroke": _written(first.stroke_mm, inch=inch)}
    form |= _window("quench", first.quench, inch=inch, decimals=4) | _window(
        "compression", first.compression, decimals=2
    )
    if engine.rod_length_mm is not None:
        form["rod_length"] = _written(engine.rod_length_mm, inch=inch)
    if first.quench is None:
        form["no_quench_band"] = "yes"
    for number, cylinder in enumerate(engine.cylinders, start=1):
        form |= {f"cylinder[{number}].{key}": text for key, text in _shared(cylinder, inch=inch).items()}
    return form


def _shared(cylinder: Cylinder, *, inch: bool) -> dict[str, str]:
    crown = cylinder.piston_volume_cc
    return {
        "name": cylinder.name,
        "bore": _written(cylinder.bore_mm, inch=inch),
        "chamber_volume": "" if cylinder.chamber_volume_cc is None else f"{cylinder.chamber_volume_cc:g}",
        "piston_volume": f"{abs(crown):g}" if crown else "",
        "piston_volume.way": "dish" if crown < 0 else "dome",
    }


def _window(name: str, window: Window | None, *, decimals: int, inch: bool = False) -> dict[str, str]:
    if window is None:
        return {}
    ends = {"min": window.low, "aim": window.aim, "max": window.high}
    scale = MM_PER_INCH if inch else 1.0
    written = {end: f"{value / scale:.{decimals}f}" for end, value in ends.items() if value is not None}
    return {f"{name}.{end}": text.rstrip("0").rstrip(".") for end, text in written.items()}


def _written(length_mm: float, *, inch: bool) -> str:
    return f"{length_mm / MM_PER_INCH:.4f}" if inch else f"{round(length_mm, 4):g}"
