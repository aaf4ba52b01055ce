"""An answer as a picture: section and map of each cylinder of one engine, the calendar of several, the trade-off.

Nothing is told by colour alone: points differ by their shape, areas by their hatching.
"""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any

from stackopt.choose.choice_records import Choice
from stackopt.choose.model.objective import ObjectiveKind
from stackopt.choose.model.objectives import ALL
from stackopt.choose.why.explain import Answer
from stackopt.choose.why.frontier import Frontier
from stackopt.report.answer.frontier import alike, plan_values
from stackopt.report.answer.proof import WORDINGS
from stackopt.report.drawings.answer_drawings import answer_drawings
from stackopt.report.drawings.pictures import BLUE, GREY, VERMILION, add_drawing, write_picture
from stackopt.report.drawings.shapes import Drawing
from stackopt.units import MM_PER_INCH

if TYPE_CHECKING:
    from matplotlib.figure import Figure

FRONTIER_MM, GAP_MM = 110.0, 6.0

Row = tuple[Drawing, ...]


def draw_plan(path: Path, answer: Answer) -> None:
    """Draw an answer, and the trade-off below where there is one.

    Raises
    ------
    InputError
        When the place cannot be written.
    """
    rows = _rows(list(answer_drawings(answer)))
    wide = max(_width(row) for row in rows)
    frontier_mm = FRONTIER_MM if answer.trade_off is not None else 0.0
    tall = sum(_height(row) + GAP_MM for row in rows) + frontier_mm

    def draw(figure: Figure) -> None:
        top = 0.0
        for row in rows:
            left = 0.0
            for drawing in row:
                add_drawing(figure, drawing, (left, top), (wide, tall))
                left += drawing.width_mm + GAP_MM
            top += _height(row) + GAP_MM
        if answer.trade_off is not None:
            field = (0.09, 0.16 * frontier_mm / tall, 0.88, 0.72 * frontier_mm / tall)
            _draw_frontier(figure.add_axes(field), answer.trade_off, answer.choice)

    write_picture(path, (wide / MM_PER_INCH, tall / MM_PER_INCH), draw)


def _rows(drawings: Sequence[Drawing]) -> list[Row]:
    """Put the drawings of one cylinder side by side: all are about it until the next section or map begins anew."""
    sections = [drawing for drawing in drawings if drawing.title.startswith("Section")]
    if not sections:
        return [(drawing,) for drawing in drawings]
    return [tuple(drawings[at : at + 2]) for at in range(0, len(drawings), 2)]


def _width(row: Row) -> float:
    return sum(drawing.width_mm for drawing in row) + GAP_MM * (len(row) - 1)


def _height(row: Row) -> float:
    return max(drawing.height_mm for drawing in row)


def _draw_frontier(axes: Any, front: Frontier, plan: Choice) -> None:
    across, upwards = (WORDINGS[name] for name in front.objectives)
    scales = [_scale(name) for name in front.objectives]
    proven, unproven = ([p for p in front.points if p.proven is state] for state in (True, False))
    kinds = ((proven, "o", BLUE, "proven: nothing betters it in both"), (unproven, "x", GREY, "best found, not proven"))
    for points, marker, colour, label in kinds:
        if points:
            places = [[p.values[at] * scales[at] for p in points] for at in (0, 1)]
            axes.scatter(*places, marker=marker, color=colour, s=45, label=label, zorder=3)
    for number, point in enumerate(front.points):
        at_point = point.values[0] * scales[0], point.values[1] * scales[1]
        axes.annotate(str(number + 1), at_point, (8, 6), textcoords="offset points")
    for number, (low, high) in enumerate(front.open_stretches):
        line = [[p.values[at] * scales[at] for p in (low, high)] for at in (0, 1)]
        axes.plot(*line, color=GREY, linestyle=":", label="" if number else "others may lie between")
    own = plan_values(front, plan)
    if own is not None:
        on_it = any(alike(point.values, own) for point in front.points)
        label = "this plan" if on_it else "this plan: something else counts before these two"
        place = [[own[at] * scales[at]] for at in (0, 1)]
        axes.scatter(
            *place, marker="D", s=130, facecolor="none", edgecolor=VERMILION, linewidth=2, label=label, zorder=4
        )
    names = [wording.measure.removesuffix(" *") for wording in (across, upwards)]
    axes.set_title(f"The trade-off: {' against '.join(names)}")
    axes.set_xlabel(_with_unit(front.objectives[0]))
    axes.set_ylabel(_with_unit(front.objectives[1]))
    axes.grid(alpha=0.3)
    axes.margins(0.1)
    axes.legend(loc="upper right")


def _scale(objective: str) -> float:
    return 0.01 if ALL[objective].kind is ObjectiveKind.CENTS else 1.0


_UNITS = {
    ObjectiveKind.HALF_WIDTHS: ",\nhalf the width of a window is 1",
    ObjectiveKind.DAYS: ", days, summed",
    ObjectiveKind.MILLIMETRES: ", mm",
}


def _with_unit(objective: str) -> str:
    return f"{WORDINGS[objective].measure.removesuffix(' *')}{_UNITS.get(ALL[objective].kind, '')}"
