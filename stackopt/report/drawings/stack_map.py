"""The map of one cylinder: base thickness across, head gasket up, the windows as bands, what is at hand as marks.

Quench is d + B + H + r, so its window is a band from upper left to lower right; the ratio's is one too, as the
clearance volume is linear in both. What a thickness in between would do is where its point would lie.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from msgspec import Struct

from stackopt.choose.stacks.at_hand import Pair, Reach
from stackopt.engine.engine_records import Cylinder, Window
from stackopt.engine.geometry import circle_area_mm2, clearance_volume_cc, swept_volume_cc
from stackopt.report.drawings.axes import Frame, frame_of, ticks
from stackopt.report.drawings.shapes import (
    LETTER_WIDTH,
    Area,
    Circle,
    Drawing,
    Label,
    Line,
    Point,
    Shape,
    Tone,
    box,
    clipped,
    shortened,
)
from stackopt.report.wording import counted, thickness
from stackopt.units import MM_PER_INCH

WIDTH_MM, HEIGHT_MM = 150.0, 136.0
FRAME = (24.0, 18.0, 136.0, 104.0)
MARK_MM = 1.5
# Pairs farther from the aim than this would press the rest together; they are counted in words.
FARTHEST_MM = 1.2
LETTERS_A_LINE = 70


class MapSpot(Struct, frozen=True):
    """A stack that stands out on the map: what it is called, its thicknesses, and half of its quench's 95 %, mm."""

    name: str
    base_mm: float
    head_mm: float
    doubt_mm: float = 0.0


class Mapped(Struct, frozen=True):
    """What the map of a cylinder shows; `opening_mm2` is the head gasket's that the ratio's band is drawn for."""

    cylinder: Cylinder
    pairs: tuple[Pair, ...]
    chosen: MapSpot | None = None
    tried: MapSpot | None = None
    opening_mm2: float | None = None


def stack_map(mapped: Mapped) -> Drawing:
    """Return the map of a cylinder."""
    near = _near(mapped)
    frame = _frame(mapped, near)
    shapes: list[Shape] = [Area(box(*FRAME))]
    shapes += _quench_band(mapped.cylinder, frame)
    ratio_lines = list(_ratio_lines(mapped, frame))
    shapes += ratio_lines
    shapes += _scales(frame)
    shapes += [shape for pair in _one_a_place(near) for shape in _mark(frame.at(pair.base_mm, pair.head_mm), pair)]
    shapes += [shape for spot in _spots(mapped) for shape in _spot(spot, frame, tried=spot is mapped.tried)]
    windows = list(_window_words(mapped, with_lines=bool(ratio_lines)))
    shapes += _words(mapped, windows)
    title = f"Map of thicknesses for {mapped.cylinder.name}"
    return Drawing(WIDTH_MM, HEIGHT_MM, tuple(shapes), title, " ".join(_sentences(mapped, near, windows)))


def _spots(mapped: Mapped) -> list[MapSpot]:
    return [spot for spot in (mapped.chosen, mapped.tried) if spot is not None]


def _near(mapped: Mapped) -> list[Pair]:
    window = mapped.cylinder.quench
    aim = None if window is None else window.aim
    near = [pair for pair in mapped.pairs if aim is None or abs(pair.quench_mm - aim) <= FARTHEST_MM]
    return near or list(mapped.pairs)


def _frame(mapped: Mapped, near: Sequence[Pair]) -> Frame:
    points = [(pair.base_mm, pair.head_mm) for pair in near]
    points += [(spot.base_mm, spot.head_mm) for spot in _spots(mapped)]
    return frame_of(FRAME, points or [(0.0, 0.0), (1.0, 1.0)])


def _quench_band(cylinder: Cylinder, frame: Frame) -> Iterator[Shape]:
    window = cylinder.quench
    if window is None:
        return
    bare = cylinder.deck_height_mm + cylinder.band_recess_mm
    corners = frame.corners
    for sign, end in ((-1.0, window.low), (1.0, window.high)):
        if end is not None:
            corners = clipped(corners, sign, sign, sign * (end - bare))
    if len(corners) > 2:
        yield Area(frame.all_at(corners), Tone.PALE, Tone.SOFT)
    if window.aim is not None:
        yield from _line(frame, 1.0, 1.0, window.aim - bare, Line((), Tone.ACCENT, 0.35))


def _ratio_lines(mapped: Mapped, frame: Frame) -> Iterator[Shape]:
    """Yield the ends of the ratio's window, with teeth on the side that is inside."""
    cylinder, window = mapped.cylinder, mapped.cylinder.compression
    if window is None or cylinder.chamber_volume_cc is None:
        return
    opening = circle_area_mm2(cylinder.bore_mm) if mapped.opening_mm2 is None else mapped.opening_mm2
    empty = clearance_volume_cc(cylinder, 0.0, 0.0, opening)
    across = clearance_volume_cc(cylinder, 1.0, 0.0, opening) - empty
    up = clearance_volume_cc(cylinder, 0.0, 1.0, opening) - empty
    for end, inside in ((window.low, -1.0), (window.high, 1.0)):
        if end is not None:
            most = swept_volume_cc(cylinder) / (end - 1) - empty
            for line in _line(frame, across, up, most, Line((), Tone.INK, 0.35, dashed=True)):
                yield line
                yield from _teeth(line.points, inside)


def _line(frame: Frame, across: float, up: float, most: float, like: Line) -> Iterator[Line]:
    """Yield the line across·B + up·H = most where it crosses the frame."""
    below = clipped(frame.corners, across, up, most)
    on_it = [point for point in below if abs(across * point[0] + up * point[1] - most) < 1e-9 * max(1.0, abs(most))]
    if len(on_it) >= 2:
        yield Line(frame.all_at(sorted(on_it)[:: len(on_it) - 1]), like.tone, like.width_mm, like.dashed)


def _teeth(points: Sequence[Point], inside: float) -> Iterator[Shape]:
    (x0, y0), (x1, y1) = points
    length = max(1e-9, ((x1 - x0) ** 2 + (y1 - y0) ** 2) ** 0.5)
    # More volume lies to the upper right: the ratio is inside below the end for its least, above the one for its most.
    across, down = inside * (y1 - y0) / length * 2.2, -inside * (x1 - x0) / length * 2.2
    for share in (0.2, 0.5, 0.8):
        x, y = x0 + share * (x1 - x0), y0 + share * (y1 - y0)
        yield Line(((x, y), (x + across, y + down)), Tone.INK, 0.35)


def _scales(frame: Frame) -> Iterator[Shape]:
    left, top, right, bottom = FRAME
    for low, high, inch in ((frame.low[0], frame.high[0], False), (frame.low[0], frame.high[0], True)):
        for value, words in ticks(low, high, inch=inch):
            x, y, out = frame.at(value, frame.low[1])[0], top if inch else bottom, -1.5 if inch else 1.5
            yield Line(((x, y), (x, y + out)), Tone.SOFT)
            yield Label((x, y + 2.4 * out), words, 2.8, "middle", tone=Tone.SOFT)
    for inch in (False, True):
        for value, words in ticks(frame.low[1], frame.high[1], inch=inch):
            y, x, out = frame.at(frame.low[0], value)[1], right if inch else left, 1.5 if inch else -1.5
            yield Line(((x, y), (x + out, y)), Tone.SOFT)
            yield Label((x + 1.4 * out, y), words, 2.8, "start" if inch else "end", tone=Tone.SOFT)
    yield Label(((left + right) / 2, bottom + 8), "base gasket: mm below, inch above", 3.0, "middle")
    yield Label((2.0, top - 8.0), "head gasket: mm left, inch right", 3.0)


def _one_a_place(pairs: Sequence[Pair]) -> list[Pair]:
    """Of pairs at one place keep the one that is nearest at hand, the best ones last so that they lie on top."""
    order = tuple(Reach)
    places: dict[tuple[float, float], Pair] = {}
    for pair in sorted(pairs, key=lambda each: (each.inside, -order.index(each.reach))):
        places[round(pair.base_mm, 3), round(pair.head_mm, 3)] = pair
    return sorted(places.values(), key=lambda each: each.inside)


def _mark(at: Point, pair: Pair) -> Iterator[Shape]:
    if not pair.inside:
        yield from cross(at)
    elif pair.reach is Reach.SHELF:
        yield Circle(at, MARK_MM)
    elif pair.reach is Reach.ORDER:
        yield Circle(at, MARK_MM, Tone.PAPER, width_mm=0.6)
    else:
        yield diamond(at)


def cross(at: Point) -> Iterator[Line]:
    """Yield a cross: a pair that does not do."""
    x, y = at
    for slant in (-0.9, 0.9):
        yield Line(((x - 0.9, y - slant), (x + 0.9, y + slant)), Tone.SOFT, 0.3)


def diamond(at: Point) -> Area:
    """Return a diamond: a special order."""
    x, y = at
    return Area(((x, y - 2), (x + 2, y), (x, y + 2), (x - 2, y)), Tone.PAPER, Tone.INK, 0.5)


def _spot(spot: MapSpot, frame: Frame, *, tried: bool) -> Iterator[Shape]:
    """Yield a ring, or a triangle for what was tried, and the doubt of its quench as a bar across the band."""
    x, y = frame.at(spot.base_mm, spot.head_mm)
    if spot.doubt_mm:
        # Half of a change of the quench to either thickness moves straight across the band.
        ends = tuple(
            frame.at(spot.base_mm + s * spot.doubt_mm / 2, spot.head_mm + s * spot.doubt_mm / 2) for s in (-1, 1)
        )
        yield Line(ends, Tone.ACCENT, 0.9)
    if tried:
        yield Area(((x, y - 3.6), (x + 3.2, y + 2.2), (x - 3.2, y + 2.2)), Tone.PAPER, Tone.INK, 0.8)
    else:
        yield Circle((x, y), 3.0, None, Tone.ACCENT, 0.9)


def _words(mapped: Mapped, windows: Sequence[str]) -> Iterator[Shape]:
    """Yield the heading and, below the frame, what each mark and line means."""
    yield Label((2.0, 5.0), mapped.cylinder.name, 4.6, bold=True)
    named = [f"{'in hand' if spot is mapped.tried else 'chosen'}: {spot.name}" for spot in _spots(mapped)]
    room = int((WIDTH_MM - 40) / (3.0 * LETTER_WIDTH))
    yield Label((WIDTH_MM - 1, 5.0), shortened(", ".join(named), room), 3.0, "end")
    left, y = 6.0, FRAME[3] + 16.5
    keys = (
        ([Circle((left, y), MARK_MM)], str(Reach.SHELF)),
        ([Circle((left + 36, y), MARK_MM, Tone.PAPER, width_mm=0.6)], str(Reach.ORDER)),
        ([diamond((left + 64, y))], str(Reach.SPECIAL)),
        (list(cross((left + 102, y))), "does not do"),
    )
    for shapes, words in keys:
        yield from shapes
        first = shapes[0]
        x = first.centre[0] if isinstance(first, Circle) else sum(p[0] for p in first.points) / len(first.points)
        yield Label((x + 3.2, y), words, 3.0)
    for row, words in enumerate(windows):
        yield Label((left - 2, y + 5.5 + 5.0 * row), shortened(words, LETTERS_A_LINE), 3.0, tone=Tone.SOFT)


def _window_words(mapped: Mapped, *, with_lines: bool) -> Iterator[str]:
    cylinder = mapped.cylinder
    if cylinder.quench is not None:
        aim = "" if cylinder.quench.aim is None else f", line on {cylinder.quench.aim:.3f}"
        yield f"grey band: quench {_ends(cylinder.quench, 3)} mm{aim}"
    if cylinder.compression is not None and cylinder.chamber_volume_cc is not None:
        ends = _ends(cylinder.compression, 2)
        yield f"toothed side of dashed lines: ratio {ends}" if with_lines else f"ratio {ends}: {_all_over(mapped)}"


def _all_over(mapped: Mapped) -> str:
    """Say what holds where no end of the ratio's window crosses the map: every point of it lies on the same side."""
    window, ratios = mapped.cylinder.compression, [pair.compression_ratio for pair in _near(mapped)]
    if window is None or not ratios or ratios[0] is None:
        return "no line of it crosses the map"
    return "outside it all over the map" if window.miss(ratios[0]) else "inside it all over the map"


def _ends(window: Window, decimals: int) -> str:
    low, high = (None if end is None else f"{end:.{decimals}f}" for end in (window.low, window.high))
    if low is None or high is None:
        return f"at most {high}" if low is None else f"at least {low}"
    return f"{low} to {high}"


def _sentences(mapped: Mapped, near: Sequence[Pair], windows: Sequence[str]) -> Iterator[str]:
    yield f"Base gaskets across, head gaskets up, for {mapped.cylinder.name}."
    yield from (f"{words[0].upper()}{words[1:]}." for words in windows)
    for spot in _spots(mapped):
        what = "In hand" if spot is mapped.tried else "Chosen"
        doubt = f", its quench within {spot.doubt_mm:.3f} mm either way" if spot.doubt_mm else ""
        yield f"{what}: {spot.name}, {thickness(spot.base_mm)} below and {thickness(spot.head_mm)} above{doubt}."
    inside = [pair for pair in mapped.pairs if pair.inside]
    for reach in Reach:
        number = sum(pair.reach is reach for pair in inside)
        if number:
            yield f"{counted(number, 'pair does', 'pairs do')}: {reach}."
    yield f"{counted(len(mapped.pairs) - len(inside), 'pair does not do', 'pairs do not do')}."
    if len(near) < len(mapped.pairs):
        yield f"{len(mapped.pairs) - len(near)} of them lie off the map, over {FARTHEST_MM} mm from the aim."
    yield from _between(mapped)


def _between(mapped: Mapped) -> Iterator[str]:
    """Say which head gaskets would do with the base that is chosen."""
    window, spot = mapped.cylinder.quench, mapped.chosen or mapped.tried
    if window is None or window.low is None or window.high is None or spot is None:
        return
    bare = mapped.cylinder.deck_height_mm + mapped.cylinder.band_recess_mm + spot.base_mm
    low, high = max(0.0, window.low - bare), window.high - bare
    if high > 0:
        inches = f"{low / MM_PER_INCH:.3f} to {high / MM_PER_INCH:.3f} in"
        yield f"Over that base any head gasket from {low:.3f} to {high:.3f} mm ({inches}) lands in the quench window."
