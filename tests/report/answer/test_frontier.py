"""A frontier as a table, as a drawing in plain characters, and in words."""

from __future__ import annotations

from msgspec.structs import replace

from stackopt.choose.choice_records import Choice, PassResult, Status
from stackopt.choose.why.frontier import Frontier, FrontierPoint
from stackopt.report.answer.frontier import HIGH, WIDE, drawing, frontier_section
from stackopt.report.answer.page import terminal
from stackopt.report.layout import captured_text
from tests.report import answers

PLAN = answers.SOLVED.choice


def point(spend: int, closeness: float, special: int = 0) -> FrontierPoint:
    passes = (
        PassResult("blocked", 0, 0, 0.01),
        PassResult("special-orders", special, special, 0.01),
        PassResult("spend", spend, spend, 0.01),
        PassResult("closeness", closeness, closeness, 0.01),
    )
    return FrontierPoint((spend, closeness), replace(PLAN, status=Status.PROVEN, passes=passes), proven=True)


FIRST, SECOND, THIRD = point(0, 3.0, special=1), point(1000, 2.0), point(2000, 1.0)
WHOLE = Frontier(("spend", "closeness"), (FIRST, SECOND, THIRD), (), cut_short=False)


def told(front: Frontier, plan: Choice = PLAN) -> str:
    return " ".join(captured_text(terminal(colour=False), [frontier_section(front, plan)]).split())


def test_the_drawing_puts_the_first_objective_across_and_the_second_up() -> None:
    """Three points on a straight line: the corners and the middle of the field."""
    lines = drawing(WHOLE, own=(2000, 3.0)).splitlines()
    assert lines[0] == "distance from the aims *"
    assert lines[1] == f"3.000 |o{' ' * (WIDE - 2)}X"
    assert lines[HIGH] == f"1.000 |{' ' * (WIDE - 1)}o"
    (middle,) = (line for line in lines[2:HIGH] if "o" in line)
    assert abs(middle.index("o") - len("3.000 |") - WIDE // 2) <= 1
    assert lines[HIGH + 2].split() == ["0.00", "20.00"]
    assert lines[-1].strip() == "o the lines above, X this plan"


def test_the_table_says_what_each_step_costs_and_what_else_changes() -> None:
    words = told(WHOLE)
    assert "2 10.00 2.000 0 +10.00, -1.000" in words
    assert "1 0.00 3.000 1" in words
    assert "one of these is as good or better in both" in words


def test_a_plan_beside_the_frontier_is_said_to_be_so_and_why() -> None:
    assert "is none of them: before these count special orders." in told(WHOLE)


def test_a_plan_on_the_frontier_is_marked() -> None:
    words = told(WHOLE, SECOND.choice)
    assert "2 10.00 2.000 0 this plan; +10.00, -1.000" in words
    assert "none of them" not in words


def test_what_was_not_looked_through_is_named() -> None:
    few = replace(WHOLE, open_stretches=((FIRST, SECOND),))
    assert "that these are all is not: 3 answers were asked for, --points" in told(few)
    assert "There may be others between lines 1 and 2." in told(few)
    assert "time was up" in told(replace(few, cut_short=True))


def test_points_that_are_not_proven_give_no_reason_why_the_plan_is_none_of_them() -> None:
    """What was found in no time may even be worse than the plan."""
    words = told(replace(WHOLE, points=(replace(FIRST, proven=False),), cut_short=True))
    assert "1 0.00 3.000 not proven" in words
    assert "Best found, not proven: time was up." in words
    assert "This plan has money paid now 47.00 and distance from the aims 0.334." in words


def test_nothing_is_traded_where_every_engine_is_blocked() -> None:
    words = told(WHOLE, answers.BLOCKED.choice)
    assert words == "Nothing to trade, money paid now against distance from the aims: every engine is blocked"
