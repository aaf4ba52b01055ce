"""The section of one cylinder at top dead centre: crankcase, base gasket, cylinder, piston, head gasket, head, the gap.

Heights of gaskets, deck and gap are drawn larger than they are, all by the same factor, which is stated; what is
stacked up true to it is what meets: q = d + B + H + r.
"""

from __future__ import annotations

from collections.abc import Iterator

from msgspec import Struct

from stackopt.engine.engine_records import Cylinder
from stackopt.engine.geometry import quench_mm
from stackopt.report.drawings.shapes import (
    LETTER_WIDTH,
    THICK_MM,
    Area,
    Drawing,
    Label,
    Line,
    Shape,
    Tone,
    box,
    hatch,
    shortened,
    spread_out,
)
from stackopt.report.wording import both_lengths

# So narrow that its words can still be read where two stand side by side on a tablet.
WIDTH_MM = 128.0
WALL_LEFT, BORE_LEFT, RIGHT, LABELS = 2.0, 22.0, 52.0, 64.0
HEAD_TOP, CYLINDER_MM, SOLID_MM, FOOT_MM = 15.0, 24.0, 8.0, 10.0
NAME_MM, MEASURE_MM, METAL_MM = 3.3, 3.7, 3.3
EXAGGERATIONS = (100, 50, 40, 30, 25, 20, 15, 10, 8, 5, 4, 3, 2, 1)
MOST_THICK_MM = 34.0
LABEL_ROOM_MM = 10.4


class DrawnStack(Struct, frozen=True):
    """What lies under and over one cylinder: names and whole thicknesses in mm; `cylinder` is as it is with them."""

    cylinder: Cylinder
    base: str
    base_mm: float
    head: str
    head_mm: float


class _Levels(Struct, frozen=True):
    """Heights on the paper, mm from its top, and by how much thicknesses are drawn larger."""

    times: int
    face: float
    deck: float
    foot: float
    case: float
    flat: float
    band: float


def section(fitted: DrawnStack) -> Drawing:
    """Return the section of a cylinder with what is fitted on it."""
    levels = _levels(fitted)
    title = f"Section of {fitted.cylinder.name}: thicknesses drawn {levels.times} times, the rest not to scale"
    height = max(levels.case + SOLID_MM, HEAD_TOP + 4 * LABEL_ROOM_MM) + 10
    shapes = [*_metal(levels), *_gaskets(fitted, levels), *_dimensions(fitted, levels, height)]
    heading = Label((WALL_LEFT, 5.0), shortened(fitted.cylinder.name, 34), 5.0, bold=True)
    scale = Label((WALL_LEFT, 11.0), f"thicknesses drawn {levels.times} times", 3.2, tone=Tone.SOFT)
    return Drawing(WIDTH_MM, height, (heading, scale, *shapes), title, f"{title}. {'. '.join(_sentences(fitted))}.")


def deck_words(deck_mm: float) -> str:
    """Say where a piston stands: ``0.110 mm, 0.004 in proud``, ``… below``, or level."""
    if abs(deck_mm) < 0.0005:
        return "level with the deck"
    return f"{both_lengths(abs(deck_mm))} {'below' if deck_mm > 0 else 'proud'}"


def _quench(fitted: DrawnStack) -> float:
    return float(quench_mm(fitted.cylinder, fitted.base_mm, fitted.head_mm))


def _levels(fitted: DrawnStack) -> _Levels:
    """Stack the heights up: the deck is where the cylinder ends, piston and band are measured from it."""
    recess, below = fitted.cylinder.band_recess_mm, fitted.cylinder.deck_height_mm + fitted.base_mm
    tall = fitted.head_mm + fitted.base_mm + max(0.0, recess) + max(0.0, below) * 0.5
    reach = max(tall, 0.02, abs(below), abs(_quench(fitted)))
    times = next((t for t in EXAGGERATIONS if t * reach <= MOST_THICK_MM), EXAGGERATIONS[-1])
    face = HEAD_TOP + SOLID_MM + max(0.0, recess) * times
    deck = face + fitted.head_mm * times
    foot = deck + max(CYLINDER_MM, below * times + FOOT_MM)
    case = foot + fitted.base_mm * times
    return _Levels(times, face, deck, foot, case, deck + below * times, face - recess * times)


def _metal(at: _Levels) -> Iterator[Shape]:
    """Yield head, cylinder wall, crankcase and piston; each is hatched in its own way, so that grey is enough."""
    head = ((WALL_LEFT, HEAD_TOP), (RIGHT, HEAD_TOP), (RIGHT, at.band), (BORE_LEFT, at.band), (BORE_LEFT, at.face))
    yield Area((*head, (WALL_LEFT, at.face)), Tone.PALE)
    yield Label(((BORE_LEFT + RIGHT) / 2, HEAD_TOP + 3.0), "head", METAL_MM, "middle")
    wall = (WALL_LEFT, at.deck, BORE_LEFT, at.foot)
    yield Area(box(*wall))
    yield from hatch(wall, 3.0)
    yield Area(
        box(WALL_LEFT + 3, (at.deck + at.foot) / 2 - 2.4, BORE_LEFT - 3, (at.deck + at.foot) / 2 + 2.4), edge=None
    )
    yield Label(((WALL_LEFT + BORE_LEFT) / 2, (at.deck + at.foot) / 2), "cylinder", METAL_MM, "middle")
    bottom = at.case + SOLID_MM
    yield Area(box(WALL_LEFT, at.case, BORE_LEFT, bottom), Tone.PALE)
    yield Label(((WALL_LEFT + BORE_LEFT) / 2, at.case + SOLID_MM / 2), "crankcase", METAL_MM, "middle")
    piston = (BORE_LEFT + 0.8, at.flat, RIGHT, bottom)
    yield Area(box(*piston), Tone.PAPER, width_mm=THICK_MM)
    yield from hatch(piston, 5.0, rising=False, tone=Tone.SOFT)
    middle = (piston[0] + RIGHT) / 2, (at.flat + bottom) / 2 + 2
    yield Area(box(middle[0] - 7, middle[1] - 2.4, middle[0] + 7, middle[1] + 2.4), edge=None)
    yield Label(middle, "piston", METAL_MM, "middle")


def _gaskets(fitted: DrawnStack, at: _Levels) -> Iterator[Shape]:
    for top, bottom, thick_mm in ((at.face, at.deck, fitted.head_mm), (at.foot, at.case, fitted.base_mm)):
        if thick_mm > 0:
            yield Area(box(WALL_LEFT, top, BORE_LEFT, bottom), Tone.ACCENT)
    yield Line(((WALL_LEFT, at.deck), (RIGHT + 2, at.deck)), Tone.SOFT, dashed=True)


def _dimensions(fitted: DrawnStack, at: _Levels, height: float) -> Iterator[Shape]:
    """Yield each measure with the line that leads to it, one under the other on the right."""
    measures = sorted(
        [
            (at.face, at.deck, RIGHT + 3, f"head gasket {fitted.head}", both_lengths(fitted.head_mm)),
            (at.band, at.flat, BORE_LEFT + 12, "quench: piston to head", both_lengths(_quench(fitted))),
            (
                at.flat,
                at.deck,
                RIGHT - 8,
                "piston as fitted",
                deck_words(fitted.cylinder.deck_height_mm + fitted.base_mm),
            ),
            (at.foot, at.case, RIGHT + 3, f"base gasket {fitted.base}", both_lengths(fitted.base_mm)),
        ],
        key=lambda each: each[0] + each[1],
    )
    middles = [(top + bottom) / 2 for top, bottom, *_ in measures]
    places = spread_out(middles, LABEL_ROOM_MM, HEAD_TOP, height - 11)
    for (top, bottom, x, name, words), middle, place in zip(measures, middles, places, strict=True):
        yield from _span(x, top, bottom)
        yield Line(((x, middle), (RIGHT + 5, middle), (LABELS - 1.5, place)), Tone.SOFT, 0.2)
        yield Label(
            (LABELS, place - 2.3), shortened(name, int((WIDTH_MM - LABELS) / (NAME_MM * LETTER_WIDTH))), NAME_MM
        )
        yield Label((LABELS, place + 2.3), words, MEASURE_MM, bold=True)
    words = f"read without base gasket: {deck_words(fitted.cylinder.deck_height_mm)}"
    yield Label((WALL_LEFT, height - 2.5), words, NAME_MM)


def _span(x: float, top: float, bottom: float) -> Iterator[Shape]:
    yield Line(((x, top), (x, bottom)), Tone.ACCENT, THICK_MM)
    for y in (top, bottom):
        yield Line(((x - 1.2, y), (x + 1.2, y)), Tone.ACCENT, 0.4)


def _sentences(fitted: DrawnStack) -> Iterator[str]:
    yield f"Read without base gasket, the piston stands {deck_words(fitted.cylinder.deck_height_mm)}"
    yield f"Base gasket {fitted.base}, {both_lengths(fitted.base_mm)}"
    yield f"With it the piston stands {deck_words(fitted.cylinder.deck_height_mm + fitted.base_mm)}"
    yield f"Head gasket {fitted.head}, {both_lengths(fitted.head_mm)}"
    gap = _quench(fitted)
    yield (
        f"From piston to head {both_lengths(gap)}" if gap > 0 else f"The piston meets the head by {both_lengths(-gap)}"
    )
