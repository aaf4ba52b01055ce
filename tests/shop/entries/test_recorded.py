"""Records as JSON text and back."""

from __future__ import annotations

from datetime import date

from hypothesis import given, settings
from hypothesis import strategies as st
from msgspec.structs import replace

from stackopt.choose.built.build import Chosen
from stackopt.choose.choice_records import FittedEngine, PassResult, Status, Work
from stackopt.engine.cautions import About, Caution, Units
from stackopt.engine.engine_records import Cylinder, Engine, Match, Spread, Window
from stackopt.engine.levers.lever import Lever
from stackopt.shop.entries.recorded import read_as, written
from tests.full import usual_or_full
from tests.shop.situations import HEAD, THIN, fitted, twin

lengths = st.floats(-5, 5)
windows = st.none() | st.builds(lambda low, width: Window(low, low + width), st.floats(0, 5), st.floats(0, 2))
cylinders = st.builds(
    Cylinder,
    name=st.text(),
    bore_mm=lengths,
    stroke_mm=lengths,
    deck_height_mm=lengths,
    chamber_volume_cc=st.none() | lengths,
    quench=windows,
    compression=windows,
    spread=st.builds(Spread, deck_mm=lengths, deck_limits_mm=st.lists(lengths).map(tuple)),
)
engines = st.builds(
    Engine,
    name=st.text(),
    family=st.text(),
    cylinders=st.lists(cylinders).map(tuple),
    due=st.none() | st.dates(),
    match=st.builds(Match, quench_mm=st.none() | lengths),
    pinned=st.dictionaries(st.text(), st.lists(st.text()).map(tuple)),
    cautions=st.lists(st.builds(Caution, st.sampled_from(About), st.text(), st.text())).map(tuple),
    units=st.sampled_from(Units),
)


@settings(max_examples=usual_or_full(25, 400, whole=100))
@given(engines)
def test_an_engine_comes_back_as_it_was(engine: Engine) -> None:
    assert read_as(Engine, written(engine)) == engine


def test_a_choice_comes_back_as_it_was() -> None:
    passes = (PassResult("blocked", 0.0, 0.0, 0.01),)
    chosen = Chosen(twin("J-104"), fitted("J-104", THIN, HEAD), (HEAD, THIN), Status.PROVEN, passes)
    assert read_as(Chosen, written(chosen)) == chosen


def test_work_beyond_gaskets_comes_back_as_it_was() -> None:
    chosen = fitted("J-104", THIN, HEAD)
    work = (Work(Lever.HEAD_CUT, 0.213, 3800), Work(Lever.SPACER, 0.5, None, shared=True))
    cut = replace(chosen, cylinders=tuple(replace(one, work=work) for one in chosen.cylinders))
    assert read_as(FittedEngine, written(cut)) == cut
    assert read_as(FittedEngine, written(chosen)) == chosen


def test_equal_records_give_equal_texts() -> None:
    one = replace(twin("J-104", date(2027, 3, 1)), pinned={"front": ("A",), "rear": ("B",)})
    other = replace(one, pinned={"rear": ("B",), "front": ("A",)})
    assert written(one) == written(other)


def test_the_text_is_json_that_other_programs_read() -> None:
    """RFC 8259 knows no infinity."""
    assert "Infinity" not in written(twin("J-104"))


def test_cautions_that_an_older_ledger_keeps_as_sentences_become_notes() -> None:
    text = '{"name": "J-104", "family": "A", "cylinders": [], "cautions": ["front: tilted."]}'
    assert read_as(Engine, text).cautions == (Caution(About.NOTE, "", "front: tilted."),)


def test_fields_that_an_older_text_lacks_keep_their_defaults() -> None:
    text = '{"name": "J-104", "family": "A", "cylinders": []}'
    assert read_as(Engine, text) == Engine("J-104", "A", ())
