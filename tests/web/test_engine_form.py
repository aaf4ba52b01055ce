"""Readings typed anew keep what the form does not ask."""

from __future__ import annotations

from pathlib import Path

import pytest
from flask import Flask

from stackopt.books.engine_text.engine_file import read_engine_file
from stackopt.parts.part_records import Supply
from stackopt.shop.database.note import Note
from stackopt.web.forms.engine_form import read_engine_form
from stackopt.web.forms.further import with_what_is_not_asked
from stackopt.web.forms.recorded import form_of
from tests.web.presses import Browser

ENGINE = """
engine = "J-7"
family = "KV82"
stroke = "78 mm"
priority = 3
[base]
shims = 1
[levers]
deck_cut_max = "0.3 mm"
[[valve]]
name = "intake"
clearance = "2.4 mm"
at_stack = "0.90 mm"
angle = "28 deg"
[[cylinder]]
name = "front"
bore = "82 mm"
chamber_volume = "50.2 cc"
piston_volume = "6.4 cc dome"
deck = "0.11 mm proud"
chamber_opening = "5000 mm²"
[[cylinder]]
name = "rear"
bore = "82 mm"
chamber_volume = "50.6 cc"
piston_volume = "6.4 cc dome"
deck = "0.13 mm below"
"""


def test_valves_cuts_and_shims_stay_when_a_reading_is_changed(tmp_path: Path) -> None:
    path = tmp_path / "engine.toml"
    path.write_text(ENGINE, encoding="utf-8")
    recorded = read_engine_file(path)
    form = {**form_of(recorded, inch=False), "cylinder[1].deck": "0.2"}
    changed = with_what_is_not_asked(read_engine_form(form), recorded, form)
    assert changed.cylinders[0].deck_height_mm == -0.2
    assert changed.cylinders[0].valves == recorded.cylinders[0].valves != ()
    assert changed.cylinders[0].chamber_opening_mm2 == 5000.0
    assert (changed.priority, changed.shims, changed.levers) == (3, 1, recorded.levers)


def typed_form() -> dict[str, str]:
    """The form of the engine above without its valves and cuts."""
    form = {"engine": "J-8", "family": "KV82", "unit": "mm", "stroke": "78", "rod_length": "150"}
    for number, side in ((1, "proud"), (2, "below")):
        at = f"cylinder[{number}]"
        form |= {f"{at}.bore": "82", f"{at}.chamber_volume": "50.2", f"{at}.piston_volume": "6.4"}
        form |= {
            f"{at}.piston_volume.way": "dome",
            f"{at}.reading[1].value": "0.11",
            f"{at}.reading[1].side": side,
            f"{at}.reading[1].unit": "mm",
        }
    return form


FURTHER = {
    "priority": "3",
    "base.shims": "1",
    "gasket.opening_margin": "0,5",
    "gasket.tolerance": "0.025",
    "quench.min": "0.76",
    "quench.max": "1.02",
    "quench.chance": "0.9",
    "match.quench": "0.13",
    "match.compression": "0.1",
    "levers.head_cut_max": "0.5",
    "levers.deck_cut_max": "0.3",
    "levers.spacer_max": "1",
    "levers.pistons": "yes",
    "intake.closes": "58",
    "intake.at_lift": "1 mm",
    "intake.pin_offset": "1.0",
    "intake.altitude": "850",
    "effective_compression.min": "7.0",
    "effective_compression.max": "8.6",
    "ports.included_angle": "50",
    "ports.at_stack": "0.95",
    "ports.limit": "0.4",
    "valve[1].name": "intake",
    "valve[1].clearance": "2.4",
    "valve[1].at_stack": "0.90",
    "valve[1].angle": "28",
    "valve[1].least": "2.0",
    "valve[1].pocket": "deck",
    "valve[1].lift_per_degree": "0.05",
    "valve_train.drive": "pushrod",
    "valve_train.at_stack": "0.90",
    "valve_train.limit": "0.5",
    "running.speed": "6500",
    "running.piston_mass": "480",
    "running.rod_material": "steel 4340",
    "running.rod_section": "160",
    "running.band_area": "1900",
    "running.least_quench": "0.6",
    "hot.least_quench": "0.55",
    "hot.cylinder.length": "110",
    "hot.cylinder.material": "aluminium 356.0",
    "hot.cylinder.rise": "120",
    "hot.rod.length": "150",
    "hot.rod.material": "steel 4340",
    "hot.rod.rise": "80",
    "cylinder[1].crevice_volume": "0.4",
    "cylinder[1].band_recess": "0.1",
    "cylinder[1].band_recess.way": "recessed",
    "cylinder[1].chamber_opening": "4800",
    "cylinder[1].compression_height": "31",
    "cylinder[1].chamber_error_limit": "0.2",
}
AS_A_FILE = """
engine = "J-8"
family = "KV82"
stroke = "78 mm"
rod_length = "150 mm"
priority = 3
base.shims = 1
gasket = { opening_margin = "0.5 mm", tolerance = "0.025 mm" }
quench = { min = "0.76 mm", max = "1.02 mm", chance = 0.9 }
match = { quench = "0.13 mm", compression = 0.1 }
levers = { head_cut_max = "0.5 mm", deck_cut_max = "0.3 mm", spacer_max = "1 mm", pistons = true }
intake = { closes = "58 deg", at_lift = "1 mm", pin_offset = "1.0 mm", altitude = "850 m" }
effective_compression = { min = 7.0, max = 8.6 }
ports = { included_angle = "50 deg", at_stack = "0.95 mm", limit = "0.4 mm" }
valve_train = { drive = "pushrod", at_stack = "0.90 mm", limit = "0.5 mm" }
[running]
speed = "6500 rpm"
piston_mass = "480 g"
rod_material = "steel 4340"
rod_section = "160 mm²"
band_area = "1900 mm²"
least_quench = "0.6 mm"
[hot]
least_quench = "0.55 mm"
[[hot.part]]
what = "cylinder"
length = "110 mm"
material = "aluminium 356.0"
rise = "120 K"
[[hot.part]]
what = "rod"
length = "150 mm"
material = "steel 4340"
rise = "80 K"
[[valve]]
name = "intake"
clearance = "2.4 mm"
at_stack = "0.90 mm"
angle = "28 deg"
least = "2.0 mm"
pocket = "deck"
lift_per_degree = "0.05 mm"
[[cylinder]]
name = "front"
bore = "82 mm"
chamber_volume = "50.2 cc"
piston_volume = "6.4 cc dome"
crevice_volume = "0.4 cc"
band_recess = "0.1 mm recessed"
chamber_opening = "4800 mm²"
compression_height = "31 mm"
chamber_error_limit = "0.2 cc"
reading = [{ where = "pin end one", instrument = "dial indicator", value = "0.11 mm", side = "proud" }]
[[cylinder]]
name = "rear"
bore = "82 mm"
chamber_volume = "50.2 cc"
piston_volume = "6.4 cc dome"
reading = [{ where = "pin end one", instrument = "dial indicator", value = "0.11 mm", side = "below" }]
"""


def test_what_an_engine_file_can_say_the_form_can_say(tmp_path: Path) -> None:
    """Every field beyond the usual, typed and as its line of an engine file: the same engine."""
    path = tmp_path / "engine.toml"
    path.write_text(AS_A_FILE, encoding="utf-8")
    assert read_engine_form({**typed_form(), **FURTHER}) == read_engine_file(path)


def test_another_rod_counts_where_what_is_recorded_stays() -> None:
    """The intake's closing and the engine at speed are not shown, and go by the rod's length."""
    recorded = read_engine_form({**typed_form(), **FURTHER})
    form = {**form_of(recorded, inch=False), "rod_length": "152"}
    for cylinder in with_what_is_not_asked(read_engine_form(form), recorded, form).cylinders:
        assert (cylinder.intake.rod_length_mm, cylinder.running.rod_length_mm) == (152, 152)
        assert cylinder.running.speed_rpm == 6500


def test_the_form_of_a_recorded_engine_shows_what_it_asks(tmp_path: Path) -> None:
    """Sent back as it stands, it changes none of its limits and cuts."""
    recorded = read_engine_form({**typed_form(), **FURTHER})
    again = with_what_is_not_asked(read_engine_form(form_of(recorded, inch=False)), recorded, {})
    for name in ("priority", "shims", "opening_margin_mm", "least_quench_chance", "match", "levers", "ports"):
        assert getattr(again, name) == getattr(recorded, name), name
    for name in ("crevice_volume_cc", "band_recess_mm", "chamber_opening_mm2", "valves", "intake", "effective"):
        assert getattr(again.cylinders[0], name) == getattr(recorded.cylinders[0], name), name


@pytest.mark.parametrize(
    ("field", "text"),
    [("priority", "high"), ("valve[1].clearance", "wide"), ("levers.head_cut_max", "-1"), ("quench.chance", "90")],
)
def test_what_is_wrong_stands_at_its_field(app: Flask, field: str, text: str) -> None:
    browser = Browser(app).open("/bench/new")
    browser.press("Write down and see what fits", {**typed_form(), **FURTHER, field: text})
    assert browser.status == 422
    assert f'id="{field}-wrong"' in browser.text
    assert f'value="{text}"' in browser.text


def test_an_engine_of_one_cylinder_has_its_form(app: Flask) -> None:
    browser = Browser(app).open("/bench/new?cylinders=1")
    form = {key: text for key, text in typed_form().items() if not key.startswith("cylinder[2]")}
    browser.press("Write down and see what fits", form)
    assert browser.heading == "J-8"
    assert browser.open("/engines/J-8/readings").status == 200
    assert "cylinder[2]" not in browser.text


def test_an_overhead_cams_limit_is_an_angle() -> None:
    said = {
        "valve_train.drive": "overhead cam",
        "valve_train.at_stack": "0.9",
        "valve_train.limit": "2",
        "valve_train.sprocket_radius": "32",
    }
    train = read_engine_form({**typed_form(), **said}).cylinders[0].valve_train
    assert train is not None
    assert (train.limit_deg, train.limit_mm, train.sprocket_radius_mm) == (2.0, None, 32.0)


@pytest.mark.parametrize(
    ("said", "field"),
    [
        ({"hot.rod.length": "150", "hot.rod.material": "steel 4340", "hot.rod.rise": "warm"}, "hot.rod.rise"),
        ({"hot.piston.length": "30"}, "hot.piston.material"),
        ({"hot.cylinder.length": "110", "hot.rod.length": "12 stone"}, "hot.rod.length"),
        ({"running.speed": "fast"}, "running.speed"),
        ({"running.speed": "6500", "running.piston_mass": "-4"}, "running.piston_mass"),
        ({"running.speed": "6500", "running.band_area": "99999"}, "running.band_area"),
        ({"running.speed": "6500", "rod_length": ""}, "rod_length"),
        (
            {"hot.cylinder.length": "110", "hot.cylinder.material": "grey iron", "hot.cylinder.rise": "90"},
            "hot.rod.length",
        ),
        ({"valve_train.drive": "elastic"}, "valve_train.drive"),
        ({"valve_train.at_stack": "0.9"}, "valve_train.drive"),
    ],
)
def test_what_is_wrong_with_heat_and_speed_is_said_at_its_field(
    browser: Browser, said: dict[str, str], field: str
) -> None:
    browser.open("/bench/new").press("Write down and see what fits", {**typed_form(), **said})
    assert browser.status == 422
    assert f'id="{field}-wrong"' in browser.text


RUNS = """
[running]
speed = "6500 rpm"
piston_mass = "480 g"
rod_material = "aluminium 7075"
rod_section = "160 mm²"
"""


def test_the_engine_at_speed_stays_when_a_reading_is_changed(browser: Browser, tmp_path: Path) -> None:
    """Loaded from a file, its readings typed anew at the bench: what the form was not told is on record still."""
    text = ENGINE.replace("[base]", 'rod_length = "150 mm"\n[base]')
    (tmp_path / "engine.toml").write_text(text + RUNS, encoding="utf-8")
    ledger = browser.client.application.extensions["room"].ledger
    recorded = read_engine_file(tmp_path / "engine.toml")
    ledger.load(Supply(), Note("test"), [recorded])
    page = browser.open("/engines/J-7/readings")
    assert "kept unless it is typed anew here: valves, engine at speed" in page.text
    fields = {f"cylinder[1].reading[{n}].{key}": said for n in (1, 2) for key, said in READ.items()}
    page.press("Write down and see what fits", fields)
    changed = ledger.engine("J-7")
    assert changed.cylinders[0].deck_height_mm == pytest.approx(-0.2)
    assert [each.running for each in changed.cylinders] == [each.running for each in recorded.cylinders]
    assert changed.cylinders[0].running is not None


READ = {"value": "0.2", "unit": "mm", "side": "proud"}


def test_what_the_form_showed_and_is_emptied_is_taken_away(browser: Browser) -> None:
    """The speed typed at the page stands there again, and is gone when its fields are emptied."""
    ledger = browser.client.application.extensions["room"].ledger
    speed = {"running.speed": "6500", "running.band_area": "1900"}
    browser.open("/bench/new").press("Write down and see what fits", {**typed_form(), **speed})
    assert ledger.engine("J-8").cylinders[0].running is not None
    form = dict(browser.open("/engines/J-8/readings").form("Write down and see what fits").fields)
    assert form["running.speed"] == "6500"
    browser.press("Write down and see what fits", dict.fromkeys(speed, ""))
    assert ledger.engine("J-8").cylinders[0].running is None


def test_a_vernier_has_to_say_its_step_and_then_counts_with_it(browser: Browser) -> None:
    """As an engine file has it; the step of a vernier cannot be told by its name."""
    vernier = {"cylinder[1].instrument": "vernier depth gauge"}
    browser.open("/bench/new").press("Write down and see what fits", {**typed_form(), **vernier})
    assert browser.status == 422
    assert 'id="cylinder[1].resolution-wrong">Expected the step of the vernier depth gauge.' in browser.text
    coarse = read_engine_form({**typed_form(), **vernier, "cylinder[1].resolution": "0,05"})
    fine = read_engine_form({**typed_form(), **vernier, "cylinder[1].resolution": "0.02"})
    assert coarse.cylinders[0].spread.deck_mm > fine.cylinders[0].spread.deck_mm
