"""A plan as a picture: what each order costs, the shelf before and after, how far each cylinder is from its aims."""

from __future__ import annotations

import os
from collections import Counter
from pathlib import Path
from typing import Any

from stackopt.choose.explain import Answer
from stackopt.choose.records import SHELF
from stackopt.choose.trade_off import Frontier

WIDTH_INCHES, DOTS_PER_INCH = 10.0, 130
MOST_BARS = 30
# Blue, orange and sky blue of the palette of Okabe & Ito (2008), told apart by everybody.
BLUE, ORANGE, SKY = "#0072B2", "#D55E00", "#56B4E9"
AXES = {
    "spend": "money paid now",
    "shelf-value": "worth of what leaves the shelf",
    "closeness": "distance from the aims",
}


def draw_plan(path: Path, answer: Answer) -> None:
    """Draw an answer; the file appears whole or not at all.

    Parameters
    ----------
    path
        Where, checked by `range_picture.check_picture`.
    answer
        Its trade-off is drawn too, where it has one.
    """
    from matplotlib.backends.backend_agg import FigureCanvasAgg  # noqa: PLC0415 - slow, and only for a picture
    from matplotlib.figure import Figure  # noqa: PLC0415

    rows = max(len(_shelf(answer)), len(answer.choice.orders), 4)
    bars = max(len(_cylinders(answer)), 4)
    heights = [1.2 + 0.3 * rows, 1.2 + 0.24 * bars, *([3.6] if answer.trade_off else [])]
    figure = Figure(figsize=(WIDTH_INCHES, sum(heights)), dpi=DOTS_PER_INCH, layout="constrained")
    FigureCanvasAgg(figure)
    # One letter a panel, one line a row: orders and shelf, aims, trade-off.
    axes = figure.subplot_mosaic("OS;AA;TT" if answer.trade_off else "OS;AA", height_ratios=heights)
    _draw_orders(axes["O"], answer)
    _draw_shelf(axes["S"], answer)
    _draw_aims(axes["A"], answer)
    if answer.trade_off:
        _draw_trade_off(axes["T"], answer.trade_off)
    written = path.with_name(f".{path.stem}.part{path.suffix}")
    figure.savefig(written)
    os.replace(written, path)


def _draw_orders(axes: Any, answer: Answer) -> None:
    orders = answer.choice.orders[::-1]
    axes.set_title("What each order costs")
    if not orders:
        _say(axes, "nothing to buy")
        return
    names = [order.supplier for order in orders]
    freight = [order.freight_cents / 100 for order in orders]
    lines = [order.total_cents / 100 - paid for order, paid in zip(orders, freight, strict=True)]
    axes.barh(names, lines, 0.6, color=BLUE, label="parts")
    bars = axes.barh(names, freight, 0.6, left=lines, color=ORANGE, hatch="//", label="freight")
    axes.bar_label(bars, [f"{order.total_cents / 100:.2f}" for order in orders], padding=3)
    axes.margins(x=0.2)
    _legend_below(axes)


def _say(axes: Any, words: str) -> None:
    axes.text(0.5, 0.5, words, ha="center", va="center", transform=axes.transAxes)
    axes.set_axis_off()


def _shelf(answer: Answer) -> list[tuple[str, int, int]]:
    """Return the parts that leave the shelf, with their pieces before and after; those that run lowest first."""
    taken: Counter[str] = Counter()
    for use in answer.choice.use:
        taken[use.part] += use.quantity if use.source == SHELF else 0
    rows = [(part, free, free - n) for part, n in taken.items() if n for free in (answer.supply.free(part),)]
    return sorted(rows, key=lambda row: (row[2], row[0]))[:MOST_BARS]


def _draw_shelf(axes: Any, answer: Answer) -> None:
    rows = _shelf(answer)[::-1]
    axes.set_title("The shelf before and after, pieces")
    if not rows:
        _say(axes, "nothing leaves the shelf")
        return
    at = range(len(rows))
    axes.barh([y + 0.2 for y in at], [before for _, before, _ in rows], 0.4, color=SKY, label="free before")
    after = axes.barh([y - 0.2 for y in at], [left for *_, left in rows], 0.4, color=BLUE, hatch="//", label="after")
    axes.bar_label(after, [str(left) for *_, left in rows], padding=3)
    axes.set_yticks(list(at), [part for part, *_ in rows])
    axes.xaxis.get_major_locator().set_params(integer=True)
    _legend_below(axes)


def _legend_below(axes: Any) -> None:
    axes.legend(loc="upper center", bbox_to_anchor=(0.5, -0.08), ncols=2, frameon=False)


def _cylinders(answer: Answer) -> list[tuple[str, float]]:
    """Return every fitted cylinder with its distance from the aims, half-widths of the windows, the farthest first."""
    rows = [
        (f"{fitted.engine} {cylinder.cylinder}", cylinder.closeness)
        for fitted in answer.choice.engines
        for cylinder in fitted.cylinders
    ]
    return sorted(rows, key=lambda row: -row[1])[:MOST_BARS]


def _draw_aims(axes: Any, answer: Answer) -> None:
    rows = _cylinders(answer)[::-1]
    if not rows:
        axes.set_title("How far each cylinder is from its aims")
        _say(axes, "no engine can be finished")
        return
    bars = axes.barh([name for name, _ in rows], [distance for _, distance in rows], color=BLUE)
    axes.bar_label(bars, [f"{distance:.2f}" for _, distance in rows], padding=3)
    axes.set_title("How far each cylinder is from its aims (half-widths of its windows, quench and ratio)")
    axes.margins(y=0.02)
    axes.set_xlim(left=0)


def _draw_trade_off(axes: Any, frontier: Frontier) -> None:
    scales = [100 if name in ("spend", "shelf-value") else 1 for name in frontier.names]
    across = [point.first / scales[0] for point in frontier.points]
    up = [point.second / scales[1] for point in frontier.points]
    # Between two answers there is none: the line is a step.
    axes.step(across, up, where="post", color=SKY)
    axes.scatter(across, up, color=BLUE, zorder=3)
    axes.set_xlabel(AXES.get(frontier.names[0], frontier.names[0]))
    axes.set_ylabel(AXES.get(frontier.names[1], frontier.names[1]))
    axes.set_title("The trade-off: no answer is better in both than one of these")
    axes.grid(alpha=0.3)
