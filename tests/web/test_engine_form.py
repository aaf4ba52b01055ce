"""Readings typed anew keep what the form does not ask."""

from __future__ import annotations

from pathlib import Path

from stackopt.books.engine_text.engine_file import read_engine_file
from stackopt.web.desk.engine_form import form_of, read_engine_form, with_what_is_not_asked

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
    changed = with_what_is_not_asked(read_engine_form(form), recorded)
    assert changed.cylinders[0].deck_height_mm == -0.2
    assert changed.cylinders[0].valves == recorded.cylinders[0].valves != ()
    assert changed.cylinders[0].chamber_opening_mm2 == 5000.0
    assert (changed.priority, changed.shims, changed.levers) == (3, 1, recorded.levers)
