"""The curve of a kept range as a picture: engines built from the shelf against money tied up."""

from __future__ import annotations

import os
from pathlib import Path
from typing import Any

from stackopt.problems import InputError, Place, Problem
from stackopt.restock.range_records import KeptRange, Range

SUFFIXES = (".png", ".svg", ".pdf")
INCHES = (8.0, 5.0)
DOTS_PER_INCH = 150
# Blue, orange and grey of the palette of Okabe & Ito (2008), told apart by everybody.
CURVE, OTHERS, LIMIT = "#0072B2", "#D55E00", "#666666"


def check_picture(path: Path, *, replace_it: bool) -> None:
    """Look before anything is solved whether a picture can be drawn there.

    Raises
    ------
    InputError
        When the name's ending is no picture's, a file stands there, or matplotlib is not installed.
    """
    if path.suffix.lower() not in SUFFIXES:
        raise InputError(Problem(Place(item="--picture"), str(path), f"a name that ends in {', '.join(SUFFIXES)}"))
    if path.exists() and not replace_it:
        raise InputError(Problem(Place(item="--picture"), str(path), "a new file", "Name another, or add --force."))
    if not path.absolute().parent.is_dir():
        raise InputError(Problem(Place(item="--picture"), str(path), "a folder that is there", "Make it first."))
    try:
        import matplotlib  # noqa: F401, PLC0415 - only for those who want a picture
    except ImportError:
        mend = "Install it with: pip install 'stackopt[pictures]'"
        raise InputError(Problem(Place(item="--picture"), "no matplotlib", "matplotlib to draw with", mend)) from None


def draw_range(path: Path, answer: KeptRange) -> None:
    """Draw the curve, the chosen range, today's shelf and the yardsticks; the file appears whole or not at all."""
    from matplotlib.backends.backend_agg import FigureCanvasAgg  # noqa: PLC0415 - slow, and only for a picture
    from matplotlib.figure import Figure  # noqa: PLC0415

    figure = Figure(figsize=INCHES, dpi=DOTS_PER_INCH, layout="constrained")
    FigureCanvasAgg(figure)
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
    written = path.with_name(f".{path.stem}.part{path.suffix}")
    figure.savefig(written)
    os.replace(written, path)


def _draw_curve(axes: Any, answer: KeptRange) -> None:
    money = [point.cents / 100 for point in answer.curve]
    built = [100 * point.share.mean for point in answer.curve]
    errors = [100 * point.share.half_width for point in answer.curve]
    axes.errorbar(money, built, errors, color=CURVE, marker="o", capsize=3, label="best range found for the money")
    reachable = 100 * answer.reachable
    axes.axhline(reachable, color=LIMIT, linestyle="--", linewidth=1, label="all that any part could build")


def _draw_points(axes: Any, answer: KeptRange) -> None:
    points: tuple[tuple[Range, str, str, str], ...] = (
        (answer.chosen, "the range to keep", "*", CURVE),
        (answer.today, "today's shelf", "s", OTHERS),
        (answer.equal, "equal numbers of every thickness", "^", OTHERS),
        (answer.commonest, "the commonest needs first", "v", OTHERS),
    )
    for each, label, marker, colour in points:
        size, at = 220 if marker == "*" else 60, ([each.cents / 100], [100 * each.share.mean])
        axes.scatter(*at, s=size, c=colour, marker=marker, label=label, zorder=3)
