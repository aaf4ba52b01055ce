"""What all pictures share: their colours, what is looked at before one is drawn, and writing it whole or not at all."""

from __future__ import annotations

import os
import tempfile
import warnings
from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING

from stackopt.problems import InputError, Place, Problem

# Matplotlib is slow to import, and only for those who want a picture.
if TYPE_CHECKING:
    from matplotlib.figure import Figure

SUFFIXES = (".png", ".svg", ".pdf")
DOTS_PER_INCH = 150
# Blue, vermilion and grey of the palette of Okabe & Ito (2008), told apart by everybody.
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


def write_picture(path: Path, inches: tuple[float, float], draw: Callable[[Figure], None]) -> None:
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
        figure = Figure(figsize=inches, dpi=DOTS_PER_INCH, layout="constrained")
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
