"""The board on a terminal: a line an engine, and under it what it waits for."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from datetime import date

from rich.console import Console, RenderableType
from rich.text import Text

from stackopt.choose.built.board import Awaited, BoardLine, EngineState
from stackopt.report.layout import captured_text, heading, indented, table
from stackopt.report.shop.words import next_words
from stackopt.report.wording import counted, written_date


def board_text(console: Console, lines: Sequence[BoardLine]) -> str:
    """Return the board as text for a console."""
    return captured_text(console, _sections(lines))


def _sections(lines: Sequence[BoardLine]) -> Iterator[list[RenderableType]]:
    if not lines:
        yield [heading("No engine is on the board")]
        return
    yield [heading(_summary(lines))]
    places = ("at",) if any(line.branch for line in lines) else ()
    laid = table("engine", *places, "family", "due", "state", "ready on", "late", "who", right=("late",))
    for line in lines:
        late = counted(line.late_days, "day") if line.late_days else ""
        place = (line.branch,) if places else ()
        laid.add_row(
            line.engine, *place, line.family, _day(line.due), line.state.value, _day(line.ready_on), late, line.who
        )
    yield [indented(laid)]
    yield [Text(words) for line in lines for words in _more(line)]


def _summary(lines: Sequence[BoardLine]) -> str:
    late = sum(line.late_days > 0 for line in lines)
    ready = sum(line.state is EngineState.READY for line in lines)
    is_open = sum(line.state is not EngineState.CLOSED for line in lines)
    return f"{counted(is_open, 'open engine')}: {ready} ready to build, {late} late"


def _more(line: BoardLine) -> Iterator[str]:
    if line.state is EngineState.CLOSED:
        return
    if line.note:
        yield f"{line.engine}: {line.note}"
    for each in line.waits_for:
        yield f"{line.engine} waits for {_awaited(each)}"
    yield f"{line.engine}, next: {next_words(line)}"


def _awaited(each: Awaited) -> str:
    if each.branch:
        return f"{each.quantity} of {each.part} held at {each.branch}, here {written_date(each.here_on)} if sent today"
    order = f"order {each.order}" if each.sent else f"order {each.order}, which is not sent yet,"
    return f"{each.quantity} of {each.part} from {each.supplier}, {order} for {written_date(each.here_on)}"


def _day(day: date | None) -> str:
    return "" if day is None else written_date(day)
