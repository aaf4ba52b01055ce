"""The tables that have a line for each cylinder: what is an estimate carries the word there as well."""

from __future__ import annotations

from msgspec.structs import replace
from rich.console import RenderableType

from stackopt.choose.choice_records import Choice, FittedEngine, Request, Status, Work
from stackopt.choose.why.alternatives import Alternative
from stackopt.choose.why.explain import Answer
from stackopt.choose.why.preferences import OtherPreference
from stackopt.engine.levers.lever import Lever
from stackopt.report.answer.fitted import plan_table, work_price
from stackopt.report.answer.next_best import next_best_table, preferences_table
from stackopt.report.answer.orders import work_table
from stackopt.report.answer.page import terminal
from stackopt.report.layout import captured_text
from tests.report.answers import ENGINE, FITTED, PASSES, SUPPLY, TODAY

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


def test_what_each_cylinder_gets_instead_begins_beside_its_name() -> None:
    """Long stacks take several lines: those of the second cylinder stand below, not beside the first one's."""
    long = (Work(Lever.HEAD_CUT, 0.438, 3800), Work(Lever.DECK_CUT, 0.062, 4500))
    other = FittedEngine("J-1", tuple(replace(one, work=long) for one in FITTED.cylinders))
    chosen = Choice(Status.PROVEN, PASSES, (FITTED,), (), ())
    preference = OtherPreference("closeness", replace(chosen, engines=(other,)), 1.857, "spend", 9000)
    answer = Answer(Request((ENGINE,), TODAY), SUPPLY, chosen, {}, {}, preferences=(preference,))
    lines = captured_text(terminal(colour=False), [preferences_table(answer)]).splitlines()
    (front,) = (line for line in lines if "front" in line)
    (rear,) = (line for line in lines if "rear" in line)
    assert "B40 + H32" in front
    assert "B40 + H32" in rear
    assert "1.857 closer" in front
    assert "but costs 90.00 more" in " ".join(" ".join(lines[lines.index(rear) :]).split())


def test_work_that_no_book_prices_is_not_summed_up_as_free() -> None:
    unpriced = FittedEngine("J-1", (replace(FRONT, work=(Work(Lever.HEAD_CUT, 0.3),)), CUT))
    assert "Work to have done: 38.00, and what no book states" in words(work_table([unpriced]))


def test_work_paid_once_is_not_told_as_a_second_cut_for_nothing() -> None:
    """The second cylinder's price is 0, since the first one's pays for both; that is not a cut for nothing."""
    first, second = (
        replace(one, work=(Work(Lever.HEAD_CUT, 0.3, cents, per_engine=True),))
        for one, cents in ((FRONT, 5500), (REAR, 0))
    )
    assert "rear head cut 0.300 mm paid once" in words(work_table([FittedEngine("J-1", (first, second))]))
    assert work_price(second.work[0]) == "paid once for all cylinders"
    assert work_price(first.work[0]) == "55.00; for all cylinders together"
