"""The calendar of a plan: a line an engine, from today to the day its parts are here, and the day they are due."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from datetime import date, timedelta

from msgspec import Struct

from stackopt.report.drawings.shapes import (
    LETTER_WIDTH,
    Area,
    Circle,
    Drawing,
    Label,
    Line,
    Shape,
    Tone,
    box,
    hatch,
    shortened,
)
from stackopt.report.wording import counted, written_date

ROW_MM, TOP_MM, FOOT_MM = 7.0, 20.0, 12.0
NAME_MM, DAYS_MM, GETS_MM = 42.0, 110.0, 118.0
SPARE_DAYS = 3
MOST_MARKS = 8
LETTER_MM = 3.0


class CalendarLine(Struct, frozen=True):
    """One engine: when its parts are here and when they are due (None where no day is known), and what it gets.

    `ready_on` is None for one that is blocked; `gets` are words, empty where nothing is to be said.
    """

    engine: str
    ready_on: date | None
    due: date | None = None
    gets: str = ""

    @property
    def late_days(self) -> int:
        """Days by which it is late, 0 for none."""
        if self.ready_on is None or self.due is None:
            return 0
        return max(0, (self.ready_on - self.due).days)


class _Span(Struct, frozen=True):
    """Which days the calendar shows, and where."""

    today: date
    days: int

    def x(self, day: date) -> float:
        return NAME_MM + max(0, min(self.days, (day - self.today).days)) / self.days * DAYS_MM


def calendar(lines: Sequence[CalendarLine], today: date) -> Drawing:
    """Return the calendar, the most urgent engine first; what they get stands beside it where any gets something."""
    ordered = sorted(lines, key=lambda line: (line.due or date.max, line.engine))
    known = [day for line in ordered for day in (line.ready_on, line.due) if day is not None]
    span = _Span(today, max(7, (max(known, default=today) - today).days + SPARE_DAYS))
    with_gets = any(line.gets for line in ordered)
    width = NAME_MM + DAYS_MM + (GETS_MM if with_gets else 30.0)
    bottom = TOP_MM + ROW_MM * max(1, len(ordered))
    shapes = [*_weeks(span, bottom), *_heading(width, with_gets)]
    for number, line in enumerate(ordered):
        shapes += _row(line, TOP_MM + ROW_MM * (number + 0.5), span, width)
    shapes += _keys(bottom + 6)
    title = f"Calendar of {counted(len(ordered), 'engine')} from {written_date(today)}"
    return Drawing(width, bottom + FOOT_MM, tuple(shapes), title, " ".join([f"{title}.", *_sentences(ordered)]))


def _weeks(span: _Span, bottom: float) -> Iterator[Shape]:
    step = -(-span.days // MOST_MARKS)
    for days in range(0, span.days + 1, step):
        day = span.today + timedelta(days=days)
        x = span.x(day)
        yield Line(((x, TOP_MM - 3), (x, bottom)), Tone.PALE if days else Tone.SOFT, 0.3)
        yield Label((x, TOP_MM - 6), f"{day.day} {day:%b}", 2.8, "middle", tone=Tone.SOFT)


def _heading(width: float, with_gets: bool) -> Iterator[Shape]:
    yield Label((1.0, 5.0), "engine", LETTER_MM, bold=True)
    yield Label((NAME_MM, 5.0), "parts here, and due", LETTER_MM, bold=True)
    yield Label((NAME_MM + DAYS_MM + 3, 5.0), "what it gets" if with_gets else "ready", LETTER_MM, bold=True)
    yield Line(((0, TOP_MM), (width, TOP_MM)), Tone.SOFT)


def _row(line: CalendarLine, y: float, span: _Span, width: float) -> Iterator[Shape]:
    yield Label((1.0, y), shortened(line.engine, int((NAME_MM - 3) / (LETTER_MM * LETTER_WIDTH))), LETTER_MM, bold=True)
    yield Line(((0, y + ROW_MM / 2), (width, y + ROW_MM / 2)), Tone.PALE, 0.2)
    if line.ready_on is None:
        yield Line(((NAME_MM, y), (NAME_MM + DAYS_MM, y)), Tone.SOFT, 0.3, dashed=True)
    else:
        yield from _bar(line, line.ready_on, y, span)
    if line.due is not None:
        yield flag((span.x(line.due), y))
    words = line.gets or _state(line)
    yield Label(
        (NAME_MM + DAYS_MM + 3, y), shortened(words, int((width - NAME_MM - DAYS_MM - 4) / (2.8 * LETTER_WIDTH))), 2.8
    )


def _bar(line: CalendarLine, ready_on: date, y: float, span: _Span) -> Iterator[Shape]:
    """Yield the time until the parts are here; what lies after the due day is hatched."""
    end = span.x(ready_on)
    if end > NAME_MM:
        yield Area(box(NAME_MM, y - 1.4, end, y + 1.4), Tone.PALE)
    if line.late_days and line.due is not None:
        late = (span.x(line.due), y - 1.4, end, y + 1.4)
        yield Area(box(*late))
        yield from hatch(late, 1.5)
    yield Circle((end, y), 1.5)


def flag(at: tuple[float, float]) -> Area:
    """Return a flag: the day on which parts are due."""
    x, y = at
    return Area(((x, y + 2.4), (x, y - 2.6), (x + 3.4, y - 1.2), (x, y + 0.2)), Tone.PAPER, Tone.INK, 0.4)


def _keys(y: float) -> Iterator[Shape]:
    yield Circle((3.0, y), 1.5)
    yield Label((6.5, y), "parts here", LETTER_MM)
    yield flag((32.0, y))
    yield Label((37.5, y), "due", LETTER_MM)
    late = (50.0, y - 1.4, 58.0, y + 1.4)
    yield Area(box(*late))
    yield from hatch(late, 1.5)
    yield Label((60.0, y), "late", LETTER_MM)
    yield Line(((74.0, y), (84.0, y)), Tone.SOFT, 0.3, dashed=True)
    yield Label((86.0, y), "no day known: blocked, or still to plan", LETTER_MM)


def _state(line: CalendarLine) -> str:
    if line.ready_on is None:
        return "no day known"
    return f"{line.late_days} days late" if line.late_days else written_date(line.ready_on)


def _sentences(lines: Sequence[CalendarLine]) -> Iterator[str]:
    for line in lines:
        due = "no due date" if line.due is None else f"due {written_date(line.due)}"
        here = "no day known" if line.ready_on is None else f"parts here {written_date(line.ready_on)}"
        late = f", {counted(line.late_days, 'day')} late" if line.late_days else ""
        gets = f", gets {line.gets}" if line.gets else ""
        yield f"{line.engine}: {here}, {due}{late}{gets}."
