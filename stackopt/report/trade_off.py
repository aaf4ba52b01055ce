"""What one objective costs in another, as a table with bars that read without colour."""

from __future__ import annotations

from rich.console import RenderableType
from rich.text import Text

from stackopt.choose.records import Choice
from stackopt.choose.trade_off import MOST_POINTS, Frontier, Point
from stackopt.report.layout import heading, indented, table
from stackopt.report.proof import WORDINGS

WIDEST_BAR = 16
SAME = 1e-5


def trade_off_table(frontier: Frontier, choice: Choice) -> list[RenderableType]:
    """Return heading, table and what is proven of it; the answer that was chosen is marked."""
    first, second = (WORDINGS[name] for name in frontier.names)
    laid = table(first.measure, second.measure, "", "", right=(first.measure, second.measure))
    most = max((point.second for point in frontier.points), default=0.0)
    for point in frontier.points:
        bar = "#" * round(WIDEST_BAR * point.second / most) if most else ""
        mark = "this answer" if _is_chosen(frontier, point, choice) else ""
        laid.add_row(first.write(point.first), second.write(point.second), bar, mark)
    names = f"{first.measure} against {second.measure}".replace(" *", "")
    words = claim(frontier) + _elsewhere(frontier, choice)
    return [heading(f"The trade-off: {names}"), indented(laid), Text(""), indented(Text(words))]


def _elsewhere(frontier: Frontier, choice: Choice) -> str:
    """Say where the answer that was chosen lies, when it is none of these."""
    if any(_is_chosen(frontier, point, choice) for point in frontier.points):
        return ""
    reached = {result.objective: result.value for result in choice.passes}
    values = [WORDINGS[name].write(reached[name]) for name in frontier.names if name in reached]
    return f"\nThe plan above is none of them ({' and '.join(values)}): something else counts first in it."


def claim(frontier: Frontier) -> str:
    """Say what is proven of the answers shown."""
    if not frontier.complete:
        return f"There are more: no further than {MOST_POINTS} answers, or than the time given, was looked."
    if frontier.step == 1:
        return "Proven: every other answer is beaten in both, or equal to one of these."
    return f"Proven, but for answers nearer than {frontier.step:g} to one of these: every other is beaten in both."


def _is_chosen(frontier: Frontier, point: Point, choice: Choice) -> bool:
    reached = {result.objective: result.value for result in choice.passes}
    values = zip(frontier.names, (point.first, point.second), strict=True)
    return all(name in reached and abs(reached[name] - value) <= SAME for name, value in values)
