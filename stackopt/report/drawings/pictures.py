"""Pictures by matplotlib: their colours, a drawing put into one, and writing it whole or not at all."""

from __future__ import annotations

import os
import tempfile
import warnings
from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING, Any, Literal

from stackopt.problems import InputError, Place, Problem
from stackopt.report.drawings.shapes import TONES, Area, Circle, Drawing, Label, Line, Shape, Tone
from stackopt.units import MM_PER_INCH

# Matplotlib is slow to import, and only for those who want a picture.
if TYPE_CHECKING:
    from matplotlib.figure import Figure

SUFFIXES = (".png", ".svg", ".pdf")
DOTS_PER_INCH = 150
# Blue, vermilion and grey of the palette of Okabe & Ito (2008), told apart by everybody.
POINTS_PER_INCH = 72.0
BLUE, VERMILION, GREY = "#0072B2", "#D55E00", "#666666"


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


def write_picture(
    path: Path,
    inches: tuple[float, float],
    draw: Callable[[Figure], None],
    layout: Literal["constrained"] | None = None,
) -> None:
    """Draw a figure of this width and height and write it; the file appears whole or not at all.

    Raises
    ------
    InputError
        When the place cannot be written.
    """
    import matplotlib as mpl  # noqa: PLC0415
    from matplotlib.backends.backend_agg import FigureCanvasAgg  # noqa: PLC0415
    from matplotlib.figure import Figure  # noqa: PLC0415

    # A dollar sign in a part number begins no formula, and a name may hold signs that no font here has.
    with mpl.rc_context({"text.parse_math": False}), warnings.catch_warnings():
        warnings.filterwarnings("ignore", message="Glyph .* missing from")
        figure = Figure(figsize=inches, dpi=DOTS_PER_INCH, layout=layout)
        FigureCanvasAgg(figure)
        draw(figure)
        try:
            _save_whole(figure, path)
        except OSError as error:
            found = f"a place that cannot be written ({error.strerror})"
            raise InputError(Problem(Place(str(path)), found, "a folder that can be written")) from None


def _save_whole(figure: Figure, path: Path) -> None:
    with tempfile.TemporaryDirectory(dir=path.absolute().parent, prefix=f".{path.name}.") as directory:
        written = Path(directory, path.name)
        figure.savefig(written)
        os.replace(written, path)


def add_drawing(figure: Figure, drawing: Drawing, corner: tuple[float, float], paper: tuple[float, float]) -> None:
    """Put a drawing on a figure, its upper left at a place of the paper; all in mm."""
    (left, top), (wide, tall) = corner, paper
    bottom = (tall - top - drawing.height_mm) / tall
    axes: Any = figure.add_axes((left / wide, bottom, drawing.width_mm / wide, drawing.height_mm / tall))
    axes.set_xlim(0, drawing.width_mm)
    axes.set_ylim(drawing.height_mm, 0)
    axes.axis("off")
    for order, shape in enumerate(drawing.shapes):
        _add(axes, shape, order)


def _add(axes: Any, shape: Shape, order: int) -> None:
    from matplotlib.patches import Circle as Disc  # noqa: PLC0415 - as above
    from matplotlib.patches import Polygon  # noqa: PLC0415

    match shape:
        case Line():
            across, down = zip(*shape.points, strict=True)
            dashes = (0, (4, 3)) if shape.dashed else "solid"
            axes.plot(
                across,
                down,
                color=_colour(shape.tone),
                lw=_points(shape.width_mm),
                ls=dashes,
                zorder=order,
                clip_on=False,
            )
        case Area():
            axes.add_patch(Polygon(shape.points, closed=True, **_paint(shape.fill, shape.edge, shape.width_mm, order)))
        case Circle():
            paint = _paint(shape.fill, shape.edge, shape.width_mm, order)
            axes.add_patch(Disc(shape.centre, shape.radius_mm, **paint))
        case Label():
            weight, across_from = (
                "bold" if shape.bold else "normal",
                {"start": "left", "middle": "center", "end": "right"},
            )
            axes.text(
                *shape.at,
                shape.words,
                fontsize=_points(shape.size_mm),
                ha=across_from[shape.anchor],
                va="center_baseline",
                weight=weight,
                color=_colour(shape.tone),
                zorder=order,
            )


def _paint(fill: Tone | None, edge: Tone | None, width_mm: float, order: int) -> dict[str, Any]:
    return {
        "facecolor": "none" if fill is None else _colour(fill),
        "edgecolor": "none" if edge is None else _colour(edge),
        "linewidth": _points(width_mm),
        "zorder": order,
    }


def _colour(tone: Tone) -> tuple[float, ...]:
    return tuple(part / 255 for part in TONES[tone])


def _points(length_mm: float) -> float:
    return length_mm / MM_PER_INCH * POINTS_PER_INCH
