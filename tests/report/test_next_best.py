"""The tables that have a line for each cylinder: what is an estimate carries the word there as well."""

from __future__ import annotations

from dataclasses import replace

from rich.console import RenderableType

from stackopt.choose.alternatives import Alternative
from stackopt.choose.records import FittedEngine, Work
from stackopt.engine.levers import Lever
from stackopt.report.fitted import plan_table
from stackopt.report.layout import captured_text
from stackopt.report.next_best import next_best_table
from stackopt.report.page import terminal
from tests.report.answers import ENGINE, FITTED, SUPPLY

FRONT, REAR = FITTED.cylinders
CUT = replace(FRONT, work=(Work(Lever.HEAD_CUT, 0.3, 3800),))
WITH_CUT = FittedEngine("J-1", (CUT, REAR))


def words(table: list[RenderableType]) -> str:
    return " ".join(captured_text(terminal(colour=False), [table]).split())


def test_the_ratio_after_a_head_cut_is_called_an_estimate_and_the_quench_is_not() -> None:
    """What a head cut takes off the chamber is worked out, the quench stays as it was measured."""
    said = words(next_best_table(FITTED, [Alternative(WITH_CUT, (), (), "spend", 3800)], SUPPLY))
    assert "0.913 mm 9.47 costs 38.00 more" in said
    assert said.count("estimate") == 1
    said = words(list(plan_table([(ENGINE, WITH_CUT)], {}, SUPPLY)))
    assert said.count("estimate") == 1
    assert "estimate" not in words(list(plan_table([(ENGINE, FITTED)], {}, SUPPLY)))


def test_both_figures_on_a_thickness_that_was_worked_out_are_called_estimates() -> None:
    crushed = replace(SUPPLY.parts["B40"], estimated=True)
    supply = replace(SUPPLY, parts={**SUPPLY.parts, "B40": crushed})
    assert words(list(plan_table([(ENGINE, FITTED)], {}, supply))).count("estimate") == 4
