"""What two objectives cost each other, on a terminal: a line a point, and a drawing in plain characters."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from rich.console import RenderableType
from rich.table import Table
from rich.text import Text

from stackopt.choose.choice_records import Choice
from stackopt.choose.why.frontier import Frontier, FrontierPoint
from stackopt.report.answer.proof import DISTANCE_NOTE, WORDINGS, Wording
from stackopt.report.layout import heading, indented, table
from stackopt.report.wording import counted

WIDE, HIGH = 56, 12
POINT, THIS_PLAN = "o", "X"
# Two values of an objective that is no whole number are told apart from here on (choose.frontier).
SAME = 1e-5

Values = tuple[float, float]


def frontier_section(front: Frontier, plan: Choice) -> list[RenderableType]:
    """Return heading, table, drawing and what is proven; `plan` is the plan that is printed above."""
    wordings = tuple(WORDINGS[name] for name in front.objectives)
    names = " against ".join(wording.measure.removesuffix(" *") for wording in wordings)
    if len(plan.blocked) == len(plan.engines):
        return [heading(f"Nothing to trade, {names}: every engine is blocked")]
    own = plan_values(front, plan)
    laid = _points_table(front, wordings, own)
    parts: list[RenderableType] = [heading(f"The trade-off: {names}"), indented(laid), Text("")]
    if len(front.points) > 1:
        parts += [indented(Text(drawing(front, own))), Text("")]
    return [*parts, indented(Text("\n".join(_words(front, plan, own))))]


def plan_values(front: Frontier, plan: Choice) -> Values | None:
    """Return what a plan reaches in the two objectives; None where that is not known of it."""
    waited = sum(engine.wait_days for engine in plan.engines)
    reached = {result.objective: result.value for result in plan.passes}
    reached |= {"wait": waited, "orders": len(plan.orders)}
    one, other = front.objectives
    return (reached[one], reached[other]) if one in reached and other in reached else None


def alike(one: Values, other: Values | None) -> bool:
    """Tell whether two points are the same except for the last binary digits."""
    return other is not None and all(abs(a - b) < SAME for a, b in zip(one, other, strict=True))


def _points_table(front: Frontier, wordings: Sequence[Wording], own: Values | None) -> Table:
    others = _varying(front)
    heads = [wording.measure for wording in wordings] + [WORDINGS[name].measure for name in others]
    laid = table("", *heads, "from the line above", right=("", *heads))
    for number, point in enumerate(front.points):
        reached = {result.objective: result.value for result in point.choice.passes}
        step = _step(front.points[number - 1], point, wordings) if number else ""
        marks = ["this plan" if alike(point.values, own) else "", "" if point.proven else "not proven", step]
        laid.add_row(
            str(number + 1),
            *(wording.write(value) for wording, value in zip(wordings, point.values, strict=True)),
            *(WORDINGS[name].write(reached[name]) for name in others),
            "; ".join(filter(None, marks)),
        )
    return laid


def _varying(front: Frontier) -> list[str]:
    """Return the other objectives that differ from point to point."""
    reached: dict[str, set[float]] = {}
    for point in front.points:
        for result in point.choice.passes:
            reached.setdefault(result.objective, set()).add(round(result.value, 3))
    return [name for name, values in reached.items() if len(values) > 1 and name not in front.objectives]


def _step(before: FrontierPoint, point: FrontierPoint, wordings: Sequence[Wording]) -> str:
    more, less = (abs(after - earlier) for earlier, after in zip(before.values, point.values, strict=True))
    return f"+{wordings[0].write(more)}, -{wordings[1].write(less)}"


def drawing(front: Frontier, own: Values | None) -> str:
    """Draw the points, `o`, and the plan's own place, `X`, the first objective to the right, the second upwards."""
    places = [point.values for point in front.points]
    seen = [*places, own] if own is not None else places
    least, most = (tuple(bound(values[at] for values in seen) for at in (0, 1)) for bound in (min, max))
    cells = [[" "] * WIDE for _ in range(HIGH)]
    for values in places:
        _mark(cells, values, (least, most), POINT)
    if own is not None:
        _mark(cells, own, (least, most), THIS_PLAN)
    across, upwards = (WORDINGS[name] for name in front.objectives)
    top, bottom = upwards.write(most[1]), upwards.write(least[1])
    margin = max(len(top), len(bottom))
    labels = [top, *[""] * (HIGH - 2), bottom]
    left, right = across.write(least[0]), across.write(most[0])
    return "\n".join(
        [
            upwards.measure,
            *(f"{label:>{margin}} |{''.join(row)}".rstrip() for label, row in zip(labels, cells, strict=True)),
            f"{'':>{margin}} +{'-' * WIDE}",
            f"{'':>{margin}}  {left}{right:>{WIDE - len(left)}}",
            f"{'':>{margin}}  {across.measure:>{WIDE}}",
            f"{'':>{margin}}  {POINT} the lines above{_plan_mark(own)}",
        ]
    )


def _plan_mark(own: Values | None) -> str:
    return "" if own is None else f", {THIS_PLAN} this plan"


def _mark(cells: list[list[str]], values: Values, ends: tuple[Sequence[float], Sequence[float]], mark: str) -> None:
    least, most = ends
    shares = [(values[at] - least[at]) / ((most[at] - least[at]) or 1) for at in (0, 1)]
    cells[round((1 - shares[1]) * (HIGH - 1))][round(shares[0] * (WIDE - 1))] = mark


def _words(front: Frontier, plan: Choice, own: Values | None) -> Iterator[str]:
    blocked = "All of them leave as few engines blocked as can be."
    if front.complete and len(front.points) == 1:
        yield f"Proven: this one is best in both at once, so there is nothing to trade. {blocked}"
    elif front.complete:
        yield f"Proven: whatever else is possible, one of these is as good or better in both. {blocked}"
    else:
        yield f"{_open_words(front)} {blocked}"
    if own is not None and not any(alike(point.values, own) for point in front.points):
        yield _apart_words(front, plan, own)
    if "closeness" in front.objectives:
        yield DISTANCE_NOTE


def _open_words(front: Frontier) -> str:
    number = {id(point): position + 1 for position, point in enumerate(front.points)}
    between = ", ".join(f"{number[id(low)]} and {number[id(high)]}" for low, high in front.open_stretches)
    why = f"{counted(len(front.points), 'answer')} were asked for, --points"
    if front.cut_short:
        why = "time was up"
    elif front.depths_open:
        why = "cuts of other depths may come out better than a line, or between two"
    where = f" There may be others between lines {between}." if between else ""
    proven = all(point.proven for point in front.points)
    each = "Each line is proven; that these are all is not" if proven else "Best found, not proven"
    return f"{each}: {why}.{where}"


def _apart_words(front: Frontier, plan: Choice, own: Values) -> str:
    one, other = (
        f"{WORDINGS[name].measure.removesuffix(' *')} {WORDINGS[name].write(value)}"
        for name, value in zip(front.objectives, own, strict=True)
    )
    if not all(point.proven for point in front.points):
        return f"This plan has {one} and {other}."
    order = [result.objective for result in plan.passes]
    last = max((order.index(name) for name in front.objectives if name in order), default=0)
    before = [name for name in order[1:last] if name not in front.objectives]
    words = ", ".join(WORDINGS[name].measure.removesuffix(" *") for name in before)
    why = f": before these count {words}" if before else ""
    return f"This plan, {one} and {other}, is none of them{why}."
