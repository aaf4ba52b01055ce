"""Drawings held against the arithmetic they show: heights, bands and marks are measured on the paper."""

from __future__ import annotations

import itertools
from datetime import date, timedelta
from xml.etree import ElementTree as ET

import pytest
from hypothesis import given
from hypothesis import strategies as st
from msgspec.structs import replace

from stackopt.choose.solve.plan import plan
from stackopt.choose.stacks.at_hand import Pair, Reach
from stackopt.choose.why.explain import Answer
from stackopt.engine.engine_records import Cylinder, Window
from stackopt.report.drawings.answer_drawings import answer_drawings, calendar_of
from stackopt.report.drawings.axes import frame_of, ticks
from stackopt.report.drawings.calendar import CalendarLine, calendar
from stackopt.report.drawings.section import DrawnStack, section
from stackopt.report.drawings.shapes import TONES, Area, Circle, Drawing, Line, Tone, clipped, spread_out
from stackopt.report.drawings.stack_map import FRAME, Mapped, MapSpot, stack_map
from stackopt.report.drawings.svg import svg_text
from tests.benchmarks.made_up_shops import made_up_shop
from tests.report import answers

TODAY = date(2027, 2, 1)
CYLINDER = Cylinder(
    "front", 82.0, 78.0, -0.11, 50.2, 6.4, quench=Window(0.76, 1.02, 0.89), compression=Window(9.2, 10.0, 9.5)
)
PAIRS = (
    Pair(("B25",), "H60", 0.25, 0.60, 0.74, 9.9, False, Reach.SHELF),
    Pair(("B40",), "H60", 0.40, 0.60, 0.89, 9.6, True, Reach.SHELF),
    Pair(("B50",), "H60", 0.50, 0.60, 0.99, 9.4, True, Reach.ORDER),
    Pair(("B40",), "H70", 0.40, 0.70, 0.99, 9.4, True, Reach.SPECIAL),
)


def overlapping(drawing: Drawing) -> list[tuple[str, str]]:
    """Return the words of every two labels whose rooms overlap."""
    labels = drawing.labels
    found = []
    for number, one in enumerate(labels):
        for other in labels[number + 1 :]:
            (left, top, right, bottom), (left2, top2, right2, bottom2) = one.box, other.box
            if left < right2 and left2 < right and top < bottom2 and top2 < bottom:
                found.append((one.words, other.words))
    return found


def beyond_paper(drawing: Drawing) -> list[str]:
    return [
        label.words
        for label in drawing.labels
        if label.box[0] < -1e-6
        or label.box[1] < -1e-6
        or label.box[2] > drawing.width_mm + 1e-6
        or label.box[3] > drawing.height_mm + 1e-6
    ]


decks = st.floats(-2.0, 2.0)
thicknesses = st.floats(0.0, 3.0)


@given(decks, thicknesses, thicknesses, st.floats(-0.5, 0.5))
def test_section_is_true_to_its_scale_and_its_labels_stand_apart(deck, base, head, recess):
    """The head gasket's and the base gasket's areas are as high as they are thick, times the factor that is stated."""
    drawn = section(DrawnStack(replace(CYLINDER, deck_height_mm=deck, band_recess_mm=recess), "B", base, "H", head))
    times = int(drawn.title.split(" drawn ")[1].split()[0])
    heights = [
        max(y for _, y in shape.points) - min(y for _, y in shape.points)
        for shape in drawn.shapes
        if isinstance(shape, Area) and shape.fill is Tone.ACCENT
    ]
    assert heights == pytest.approx([times * thick for thick in (head, base) if thick > 0])
    assert overlapping(drawn) == []
    assert beyond_paper(drawn) == []


def test_section_says_in_words_what_it_shows():
    """q = −0.11 + 0.40 + 0.60 = 0.89; −0.11 + 0.40 = 0.29 below; 0.89 / 25.4 = 0.035."""
    says = section(DrawnStack(CYLINDER, "B40", 0.40, "H60", 0.60)).says
    for words in (
        "Read without base gasket, the piston stands 0.110 mm, 0.004 in proud",
        "With it the piston stands 0.290 mm, 0.011 in below",
        "Head gasket H60, 0.600 mm, 0.024 in",
        "From piston to head 0.890 mm, 0.035 in",
    ):
        assert words in says


def test_a_piston_that_meets_the_head_is_said_and_drawn_into_it():
    drawn = section(DrawnStack(replace(CYLINDER, deck_height_mm=-1.5), "B40", 0.40, "H60", 0.60))
    assert "The piston meets the head by 0.500 mm" in drawn.says


def test_marks_of_the_map_lie_where_their_thicknesses_are():
    """Two marks 0.10 mm apart in base are as far apart across as two 0.10 mm apart in head are up."""
    drawn = stack_map(Mapped(CYLINDER, PAIRS, MapSpot("B40 + H60", 0.40, 0.60, 0.02)))
    circles = {shape.centre: shape for shape in drawn.shapes if isinstance(shape, Circle)}
    here = next(at for at, shape in circles.items() if shape.fill is None)
    ring = next(at for at, shape in circles.items() if shape.fill is Tone.PAPER and at[1] < FRAME[3])
    diamonds = [
        shape.points
        for shape in drawn.shapes
        if isinstance(shape, Area) and len(shape.points) == 4 and shape.width_mm == 0.5
    ]
    special = next(points for points in diamonds if points[0][1] < FRAME[3])
    across, up = ring[0] - here[0], here[1] - special[1][1]
    assert ring[1] == pytest.approx(here[1])
    assert special[0][0] == pytest.approx(here[0])
    assert across == pytest.approx(up)


def test_the_band_of_the_map_is_where_quench_is_inside():
    """On the band's edges −0.11 + B + H is 0.76 and 1.02."""
    drawn = stack_map(Mapped(CYLINDER, PAIRS, MapSpot("B40 + H60", 0.40, 0.60)))
    frame = frame_of(FRAME, [(p.base_mm, p.head_mm) for p in PAIRS])
    band = next(s for s in drawn.shapes if isinstance(s, Area) and s.fill is Tone.PALE)
    scale = (frame.high[0] - frame.low[0]) / (FRAME[2] - FRAME[0])
    sums = [
        -0.11 + frame.low[0] + (x - FRAME[0]) * scale + frame.low[1] + (FRAME[3] - y) * scale for x, y in band.points
    ]
    assert min(sums) == pytest.approx(0.76)
    assert max(sums) == pytest.approx(1.02)


def test_map_says_what_a_thickness_between_would_do():
    """0.76 + 0.11 − 0.40 = 0.47 and 1.02 + 0.11 − 0.40 = 0.73."""
    says = stack_map(Mapped(CYLINDER, PAIRS, MapSpot("B40 + H60", 0.40, 0.60))).says
    assert "Over that base any head gasket from 0.470 to 0.730 mm" in says
    assert "1 pair does: on the shelf. 1 pair does: to order. 1 pair does: special order. 1 pair does not do." in says


@given(st.lists(st.tuples(st.floats(0.1, 3.0), st.floats(0.1, 3.0), st.booleans()), max_size=12), decks)
def test_labels_of_any_map_stand_apart(thick, deck):
    cylinder = replace(CYLINDER, deck_height_mm=deck)
    pairs = tuple(Pair(("B",), "H", b, h, deck + b + h, 9.5, inside, Reach.SHELF) for b, h, inside in thick)
    drawn = stack_map(
        Mapped(cylinder, pairs, MapSpot("BG82-040 + HG82-020T", 0.4, 0.6, 0.03), MapSpot("0.5 + 0.6", 0.5, 0.6))
    )
    assert overlapping(drawn) == []
    assert beyond_paper(drawn) == []


def test_a_chamber_without_a_band_has_a_map_without_one():
    drawn = stack_map(Mapped(replace(CYLINDER, quench=None), PAIRS))
    assert not [s for s in drawn.shapes if isinstance(s, Area) and s.fill is Tone.PALE]
    assert "quench" not in drawn.says


def test_calendar_of_a_hundred_engines_keeps_every_name_apart():
    lines = [
        CalendarLine(f"J-{n:03}", TODAY + timedelta(days=n % 30), TODAY + timedelta(days=n % 17), "front B + H")
        for n in range(100)
    ]
    drawn = calendar(lines, TODAY)
    assert overlapping(drawn) == []
    assert beyond_paper(drawn) == []
    assert {line.engine for line in lines} <= {label.words for label in drawn.labels}


def test_calendar_says_who_is_late_and_by_how_much():
    """Parts here on 10 February, due on the 7th."""
    says = calendar([CalendarLine("J-1", date(2027, 2, 10), date(2027, 2, 7))], TODAY).says
    assert "J-1: parts here 10 Feb 2027, due 7 Feb 2027, 3 days late." in says


def test_calendar_of_an_answer_names_what_each_engine_gets():
    request, supply = made_up_shop(6, 3)
    drawn = calendar_of(Answer(request, supply, plan(request, supply), {}, {}))
    assert all(f"{engine.name}: " in drawn.says for engine in request.engines)
    assert "gets front " in drawn.says


def test_one_engine_is_drawn_by_section_and_map_and_a_blocked_one_by_its_map():
    titles = [drawing.title.split(" ")[0] for drawing in answer_drawings(answers.SOLVED)]
    assert titles == ["Section", "Map", "Section", "Map"]
    assert [drawing.title.split(" ")[0] for drawing in answer_drawings(answers.BLOCKED)] == ["Map", "Map"]


def test_svg_is_sound_and_says_what_it_shows_whatever_a_part_is_called():
    hostile = '<script>alert("1")</script>&"\''
    text = svg_text(section(DrawnStack(CYLINDER, hostile, 0.40, "H60", 0.60)), "one")
    root = ET.fromstring(text)
    names = {element.tag.rpartition("}")[2] for element in root.iter()}
    assert names <= {"svg", "title", "desc", "rect", "polyline", "polygon", "circle", "text"}
    assert hostile in (root.findtext("{http://www.w3.org/2000/svg}desc") or "")
    assert "style=" not in text


def test_svg_elements_have_each_attribute_once():
    """An element with two class attributes is no XML at all: parsing would fail."""
    for drawing in answer_drawings(answers.SOLVED):
        ET.fromstring(svg_text(drawing, "x"))


def test_tones_stay_apart_in_grey():
    """Relative luminance as WCAG 2.2 defines it; each tone that carries meaning is 3 to 1 against paper or pale."""

    def luminance(tone: Tone) -> float:
        parts = [value / 255 for value in TONES[tone]]
        linear = [p / 12.92 if p <= 0.04045 else ((p + 0.055) / 1.055) ** 2.4 for p in parts]
        return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]

    for tone in (Tone.INK, Tone.SOFT, Tone.ACCENT):
        for ground in (Tone.PAPER, Tone.PALE):
            assert (luminance(ground) + 0.05) / (luminance(tone) + 0.05) >= 4.5


@given(st.lists(st.floats(0, 100), max_size=8))
def test_places_of_labels_keep_their_room(wanted):
    places = spread_out(sorted(wanted), 9.5, 0.0, 100.0)
    assert all(later - earlier >= 9.5 - 1e-9 for earlier, later in itertools.pairwise(places))
    assert all(0 - 1e-9 <= place <= 100 + 1e-9 for place in places)


def test_clipping_keeps_what_lies_below_the_line():
    assert set(clipped(((0, 0), (2, 0), (2, 2), (0, 2)), 1.0, 1.0, 2.0)) == {(0, 0), (2, 0), (0, 2)}


def test_scales_are_marked_at_round_measures():
    """0.01 in is 0.254 mm."""
    assert [words for _, words in ticks(0.14, 0.61, inch=False)] == ["0.2", "0.3", "0.4", "0.5", "0.6"]
    assert next((round(mm, 3), words) for mm, words in ticks(0.2, 0.6, inch=True)) == (0.254, "0.010")


def test_hatching_stays_inside_its_field():
    drawn = section(DrawnStack(CYLINDER, "B40", 0.40, "H60", 0.60))
    for shape in drawn.shapes:
        if isinstance(shape, Line):
            assert all(0 <= x <= drawn.width_mm and 0 <= y <= drawn.height_mm for x, y in shape.points)
