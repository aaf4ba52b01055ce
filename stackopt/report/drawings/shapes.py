"""What a drawing is made of: lines, areas, circles and labels, in mm on paper, x to the right and y down.

A drawing is described once with these; `svg` writes it for a page, `pictures` for a bitmap, `card` for paper.
Each knows in words what it shows. Tones are shades that stay apart in grey; an area may be hatched as well.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from enum import StrEnum

from msgspec import Struct

Point = tuple[float, float]
Box = tuple[float, float, float, float]

# Room for a letter in parts of its height: no words of capitals and digits take more in the plain fonts used here.
LETTER_WIDTH = 0.62
THIN_MM, THICK_MM = 0.25, 0.7


class Tone(StrEnum):
    """A shade: ink and paper, two greys between them, and one accent that is as dark as the ink in grey."""

    INK = "ink"
    SOFT = "soft"
    PALE = "pale"
    PAPER = "paper"
    ACCENT = "accent"


# Each tone as red, green, blue from 0 to 255, where there is no page to say otherwise. The accent is the blue of the
# palette of Okabe & Ito (2008).
TONES: dict[Tone, tuple[int, int, int]] = {
    Tone.INK: (20, 20, 20),
    Tone.SOFT: (95, 95, 95),
    Tone.PALE: (225, 225, 225),
    Tone.PAPER: (255, 255, 255),
    Tone.ACCENT: (0, 90, 150),
}


class Line(Struct, frozen=True):
    """A line through points; dashed where it is only meant."""

    points: tuple[Point, ...]
    tone: Tone = Tone.INK
    width_mm: float = THIN_MM
    dashed: bool = False


class Area(Struct, frozen=True):
    """A closed area with its edge; `edge` is None for one without."""

    points: tuple[Point, ...]
    fill: Tone = Tone.PAPER
    edge: Tone | None = Tone.INK
    width_mm: float = THIN_MM


class Circle(Struct, frozen=True):
    """A circle; `fill` is None for one that is open."""

    centre: Point
    radius_mm: float
    fill: Tone | None = Tone.INK
    edge: Tone = Tone.INK
    width_mm: float = THIN_MM


class Label(Struct, frozen=True):
    """A line of words whose middle height lies at a point; `anchor` says which end of it does: start, middle or end."""

    at: Point
    words: str
    size_mm: float = 3.2
    anchor: str = "start"
    bold: bool = False
    tone: Tone = Tone.INK

    @property
    def width_mm(self) -> float:
        """How much room it takes at most, mm."""
        return len(self.words) * self.size_mm * LETTER_WIDTH

    @property
    def box(self) -> Box:
        """Left, top, right and bottom of the room that it takes, mm."""
        x, y = self.at
        left = x - {"start": 0.0, "middle": 0.5, "end": 1.0}[self.anchor] * self.width_mm
        return left, y - self.size_mm / 2, left + self.width_mm, y + self.size_mm / 2


Shape = Line | Area | Circle | Label


class Drawing(Struct, frozen=True):
    """A drawing: its size in mm, its shapes from back to front, a short title, and in words what it shows."""

    width_mm: float
    height_mm: float
    shapes: tuple[Shape, ...]
    title: str
    says: str

    @property
    def labels(self) -> tuple[Label, ...]:
        """Its labels."""
        return tuple(shape for shape in self.shapes if isinstance(shape, Label))


def box(left: float, top: float, right: float, bottom: float) -> tuple[Point, ...]:
    """Return the corners of a rectangle."""
    return (left, top), (right, top), (right, bottom), (left, bottom)


def hatch(corners: Box, step_mm: float, *, rising: bool = True, tone: Tone = Tone.INK) -> Iterator[Line]:
    """Yield slanting lines across a rectangle, as many as its size takes; two hatches are told apart by their slant."""
    left, top, right, bottom = corners
    height = bottom - top
    offset = step_mm
    while offset < right - left + height:
        low, high = max(0.0, offset - (right - left)), min(offset, height)
        ends = [(left + offset - down, top + down) for down in (low, high)]
        if not rising:
            ends = [(x, top + bottom - y) for x, y in ends]
        yield Line(tuple(ends), tone, 0.15)
        offset += step_mm


def clipped(corners: Sequence[Point], across: float, down: float, most: float) -> tuple[Point, ...]:
    """Return the part of a convex area where across·x + down·y ≤ most (Sutherland & Hodgman, 1974, from memory)."""
    kept: list[Point] = []
    for number, here in enumerate(corners):
        before = corners[number - 1]
        here_over, before_over = (across * x + down * y - most for x, y in (here, before))
        if (here_over > 0) != (before_over > 0):
            share = before_over / (before_over - here_over)
            kept.append((before[0] + share * (here[0] - before[0]), before[1] + share * (here[1] - before[1])))
        if here_over <= 0:
            kept.append(here)
    return tuple(kept)


def spread_out(wanted: Sequence[float], room: float, low: float, high: float) -> list[float]:
    """Return places for labels in a column, each `room` from the next, as near as can be to where they are wanted.

    They keep their order and stay between `low` and `high` where that holds them all.
    """
    places: list[float] = []
    for place in wanted:
        places.append(max(place, places[-1] + room) if places else max(place, low))
    most = high
    for number in range(len(places) - 1, -1, -1):
        places[number] = min(places[number], most)
        most = places[number] - room
    return places


def shortened(words: str, most: int) -> str:
    """Return words cut to so many letters, the cut shown."""
    return words if len(words) <= most else f"{words[: max(1, most - 1)]}…"
