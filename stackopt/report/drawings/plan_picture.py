"""A plan as a picture: what each order costs, how near every cylinder comes, the shelf before and after, the trade-off.

Nothing is told by colour alone: bars of two kinds differ by their hatching, points by their shape.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any

from stackopt.choose.model.objective import Kind
from stackopt.choose.model.objectives import ALL
from stackopt.choose.records import Choice
from stackopt.choose.why.explain import Answer
from stackopt.choose.why.frontier import Frontier
from stackopt.choose.why.shelf_after import shelf_changes
from stackopt.report.answer.frontier import alike, plan_values
from stackopt.report.answer.proof import WORDINGS
from stackopt.report.drawings.pictures import BLUE, GREY, VERMILION, write_picture
from stackopt.units import money

if TYPE_CHECKING:
    from matplotlib.figure import Figure

WIDE_INCHES, ROW_INCHES, FRAME_INCHES, FRONTIER_INCHES = 11.0, 0.25, 1.5, 4.2
# What does not fit on a page is left out and said to be.
MOST_ROWS = 40
LONGEST_LABEL = 26
HATCH = "////"

Bar = tuple[str, float, float]


def draw_plan(path: Path, answer: Answer) -> None:
    """Draw orders, closeness and shelf, and the trade-off where there is one.

    Raises
    ------
    InputError
        When the place cannot be written.
    """
    orders, cylinders, shelf = _orders(answer.choice), list(_cylinders(answer)), _shelf(answer)
    heights = [FRAME_INCHES + ROW_INCHES * max(1, min(MOST_ROWS, len(rows))) for rows in (orders, cylinders)]
    shelf_height = FRAME_INCHES + ROW_INCHES * max(1, min(MOST_ROWS, len(shelf)))
    heights[1] += max(0.0, shelf_height - sum(heights))
    mosaic: Any = [["orders", "shelf"], ["cylinders", "shelf"]]
    if answer.trade_off is not None:
        mosaic.append(["frontier", "frontier"])
        heights.append(FRONTIER_INCHES)

    def draw(figure: Figure) -> None:
        axes: dict[str, Any] = figure.subplot_mosaic(mosaic, height_ratios=heights)
        _draw_orders(axes["orders"], orders)
        _draw_cylinders(axes["cylinders"], cylinders, answer.choice)
        _draw_shelf(axes["shelf"], shelf)
        if answer.trade_off is not None:
            _draw_frontier(axes["frontier"], answer.trade_off, answer.choice)

    write_picture(path, (WIDE_INCHES, sum(heights)), draw)


def _orders(choice: Choice) -> list[Bar]:
    """Return supplier, lines and freight of each order, in whole money, the dearest first."""
    bars = [
        (order.supplier, (order.total_cents - order.freight_cents) / 100, order.freight_cents / 100)
        for order in choice.orders
    ]
    return sorted(bars, key=lambda bar: -bar[1] - bar[2])


def _cylinders(answer: Answer) -> Iterator[Bar]:
    """Yield each cylinder with its distance from the aims, in half-widths: of the quench, and of the ratio."""
    for engine, fitted in answer.pairs():
        for measured, cylinder in zip(engine.cylinders, fitted.cylinders, strict=False):
            of_quench = 0.0 if measured.quench is None else measured.quench.distance(cylinder.quench_mm)
            yield f"{fitted.engine} {cylinder.cylinder}", of_quench, max(0.0, cylinder.closeness - of_quench)


def _shelf(answer: Answer) -> list[Bar]:
    """Return number, pieces before and pieces after of each part that changes."""
    changes = shelf_changes(answer.choice, answer.supply)
    return [(each.part, each.before, each.after) for each in changes if each.before != each.after]


def _draw_orders(axes: Any, bars: Sequence[Bar]) -> None:
    total = sum(lines + freight for _, lines, freight in bars)
    axes.set_title(f"What each order costs: {money(round(100 * total))} in all")
    axes.set_xlabel("money to pay now")
    if not bars:
        _say(axes, "nothing to buy")
        return
    shown = _stacked(axes, bars, ("lines", "freight"))
    for row, (_, lines, freight) in enumerate(shown):
        axes.annotate(money(round(100 * (lines + freight))), (lines + freight, row), (4, 0), **_BESIDE)
    axes.margins(x=0.18)
    axes.set_xlim(left=0)


def _draw_cylinders(axes: Any, bars: Sequence[Bar], choice: Choice) -> None:
    axes.set_title("How far each cylinder is from its aims")
    axes.set_xlabel("distance; 0 is on every aim, 1 is one value at the edge of its window")
    if not bars:
        _say(axes, "every engine is blocked")
        return
    _stacked(axes, sorted(bars, key=lambda bar: -bar[1] - bar[2])[:MOST_ROWS], ("of the quench", "of the ratio"))
    left_out = len(bars) - MOST_ROWS
    notes = [f"{left_out} nearer ones not shown"] if left_out > 0 else []
    notes += [f"blocked: {_shortened(', '.join(engine.engine for engine in choice.blocked), 60)}"] * bool(
        choice.blocked
    )
    if notes:
        axes.set_title("\n".join([axes.get_title(), "; ".join(notes)]))
    axes.set_xlim(left=0)


def _stacked(axes: Any, bars: Sequence[Bar], kinds: tuple[str, str]) -> Sequence[Bar]:
    """Draw rows of two parts, the first row on top; return the rows as they stand."""
    rows, first = range(len(bars)), [bar[1] for bar in bars]
    axes.barh(rows, first, color=BLUE, label=kinds[0])
    axes.barh(
        rows, [bar[2] for bar in bars], left=first, label=kinds[1], hatch=HATCH, color="white", edgecolor=VERMILION
    )
    _name_rows(axes, [bar[0] for bar in bars])
    axes.grid(axis="x", alpha=0.3)
    axes.set_axisbelow(True)
    axes.legend(loc="lower right")
    return bars


def _draw_shelf(axes: Any, bars: Sequence[Bar]) -> None:
    axes.set_title("The shelf before and after")
    axes.set_xlabel("free pieces")
    if not bars:
        _say(axes, "the shelf stays as it is")
        return
    emptiest = sorted(bars, key=lambda bar: bar[2])[:MOST_ROWS]
    shown = [bar for bar in bars if bar in emptiest]
    rows = range(len(shown))
    axes.hlines(rows, [bar[1] for bar in shown], [bar[2] for bar in shown], color=GREY, linewidth=1)
    axes.scatter([b[1] for b in shown], rows, s=70, marker="s", facecolor="white", edgecolor=VERMILION, label="before")
    axes.scatter([b[2] for b in shown], rows, s=40, marker="o", color=BLUE, label="after", zorder=3)
    _name_rows(axes, [bar[0] for bar in shown])
    if len(bars) > MOST_ROWS:
        axes.set_title(f"{axes.get_title()}\n{len(bars) - MOST_ROWS} parts of which more is left not shown")
    axes.set_xlim(left=-0.4)
    axes.xaxis.get_major_locator().set_params(integer=True)
    axes.grid(axis="x", alpha=0.3)
    axes.legend(loc="best")


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
    return 0.01 if ALL[objective].kind is Kind.CENTS else 1.0


_UNITS = {
    Kind.HALF_WIDTHS: ",\nhalf the width of a window is 1",
    Kind.DAYS: ", days, summed",
    Kind.MILLIMETRES: ", mm",
}


def _with_unit(objective: str) -> str:
    return f"{WORDINGS[objective].measure.removesuffix(' *')}{_UNITS.get(ALL[objective].kind, '')}"


_BESIDE: dict[str, Any] = {"textcoords": "offset points", "va": "center"}


def _name_rows(axes: Any, names: Sequence[str]) -> None:
    axes.set_yticks(range(len(names)), [_shortened(name, LONGEST_LABEL) for name in names])
    axes.set_ylim(len(names) - 0.4, -0.6)


def _shortened(name: str, most: int) -> str:
    return name if len(name) <= most else f"{name[: most - 1]}…"


def _say(axes: Any, words: str) -> None:
    axes.text(0.5, 0.5, words, ha="center", va="center", transform=axes.transAxes)
    axes.set_xticks([])
    axes.set_yticks([])
