"""The curve of a kept range as a picture: engines built from the shelf against money tied up."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Any

from stackopt.report.drawings.pictures import BLUE, GREY, VERMILION, write_picture
from stackopt.stocking.range.range_records import RangeAnswer, ValuedRange

if TYPE_CHECKING:
    from matplotlib.figure import Figure

INCHES = (8.0, 5.0)


def draw_range(path: Path, answer: RangeAnswer) -> None:
    """Draw the curve, the chosen range, today's shelf and the yardsticks.

    Raises
    ------
    InputError
        When the place cannot be written.
    """
    write_picture(path, INCHES, lambda figure: _draw(figure, answer), "constrained")


def _draw(figure: Figure, answer: RangeAnswer) -> None:
    axes = figure.subplots()
    _draw_curve(axes, answer)
    _draw_points(axes, answer)
    axes.set_xlabel("money tied up on the shelf")
    axes.set_ylabel("engines built from the shelf, %")
    axes.set_title("What the shelf builds for the money in it")
    axes.set_ylim(0, 104)
    axes.set_xlim(left=0)
    axes.grid(alpha=0.3)
    axes.legend(loc="lower right")


def _draw_curve(axes: Any, answer: RangeAnswer) -> None:
    money = [point.cents / 100 for point in answer.curve]
    built = [100 * point.share.mean for point in answer.curve]
    errors = [100 * point.share.half_width for point in answer.curve]
    axes.errorbar(money, built, errors, color=BLUE, marker="o", capsize=3, label="best range found for the money")
    reachable = 100 * answer.reachable
    axes.axhline(reachable, color=GREY, linestyle="--", linewidth=1, label="all that any part could build")


def _draw_points(axes: Any, answer: RangeAnswer) -> None:
    points: tuple[tuple[ValuedRange, str, str, str], ...] = (
        (answer.chosen, "the range to keep", "*", BLUE),
        (answer.today, "today's shelf", "s", VERMILION),
        (answer.equal, "equal numbers of every thickness", "^", VERMILION),
        (answer.commonest, "the commonest needs first", "v", VERMILION),
    )
    for each, label, marker, colour in points:
        size, at = 220 if marker == "*" else 60, ([each.cents / 100], [100 * each.share.mean])
        axes.scatter(*at, s=size, c=colour, marker=marker, label=label, zorder=3)
