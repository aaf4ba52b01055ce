"""What is known of the doubt in one cylinder's figures, as lines of its table: intervals, chance, budget, left out."""

from __future__ import annotations

from collections.abc import Iterator

from stackopt.choose.choice_records import FittedCylinder
from stackopt.choose.doubt.budget import Budget, Help
from stackopt.choose.doubt.intervals import Interval
from stackopt.engine.engine_records import Cylinder
from stackopt.report.wording import chance

Row = tuple[str, str, str]


def interval_rows(interval: Interval | None, decimals: int, unit: str) -> Iterator[Row]:
    """Yield the lines with the 95 % interval of a figure and its worst case."""
    if interval is None:
        yield "95 % within", "not known", ""
        return
    yield "95 % within", f"{interval.low:.{decimals}f} to {interval.high:.{decimals}f}{unit}", "an estimate"
    worst = f"{interval.worst_low:.{decimals}f} to {interval.worst_high:.{decimals}f}{unit}"
    yield "worst case", worst, "every tolerance at its end"


def chance_row(measured: Cylinder, cylinder: FittedCylinder) -> Row:
    """Return the line with the chance."""
    window = "ratio" if measured.quench is None else "quench"
    if cylinder.chance_in_window is None:
        return "chance", "not known", f"{window} in its window"
    words = chance(cylinder.chance_in_window)
    return "chance", words, f"{window} in its window, an estimate"


def doubt_rows(cylinder: FittedCylinder, budget: Budget) -> Iterator[Row]:
    """Yield the shares of the doubt, the reading that would help most, and what the figures leave out."""
    for name, shares in (("quench doubt", budget.quench), ("ratio doubt", budget.ratio)):
        if len(shares) > 1:
            written = [f"{one.share:.0%} {one.input}" for one in shares]
            yield name, written[0], ", ".join(written[1:])
    if budget.helps_most is not None:
        yield "helps most", budget.helps_most.reading, _narrowed(budget.helps_most)
    if cylinder.left_out:
        yield "left out", "", ", ".join(cylinder.left_out)


def _narrowed(most: Help) -> str:
    return f"± {most.before_mm:.3f} mm, then ± {most.after_mm:.3f} mm"
