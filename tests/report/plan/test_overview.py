"""The whole of a plan in a few lines where nothing can be built, nothing is bought, many are late or work is done."""

from __future__ import annotations

from datetime import date, timedelta

from msgspec.structs import replace

from stackopt.choose.choice_records import SHELF, Use, Work
from stackopt.engine.levers.lever import Lever
from stackopt.parts.part_records import Supplier
from stackopt.report.plan.overview import MOST_NAMED
from stackopt.report.plan.shown import MOST_AT_LENGTH, Shown
from tests.report import answers
from tests.report.plan.test_page import lines, plan_of


def all_blocked(count: int, **changed):
    """Return a plan of so many engines, all of them blocked by the same."""
    answer = plan_of(count)
    engines = tuple(replace(engine, **changed) for engine in answer.request.engines)
    fitted = tuple(replace(answers.NOTHING.engines[0], engine=engine.name) for engine in engines)
    return replace(
        answer,
        request=replace(answer.request, engines=engines),
        choice=replace(answer.choice, engines=fitted, orders=(), use=()),
        blocked={engine.name: (answers.STUCK,) for engine in engines},
        may_wait_until={},
    )


def test_where_nothing_can_be_built_that_is_said_and_the_same_trouble_is_named_once() -> None:
    said = lines(all_blocked(3))
    assert said[1:3] == ["can be built none", "blocked 3"]
    assert said[3].startswith("J-1, J-2, J-3: none of 2 pairs")


def test_of_many_with_the_same_trouble_the_first_eight_are_named() -> None:
    said = lines(all_blocked(MOST_NAMED + 2), Shown())
    assert "J-7, J-8 and 2 more: none of 2 pairs" in " ".join(said)


def test_a_blocked_engine_whose_day_has_passed_is_late_with_no_day_known() -> None:
    """Due on 22 January, today is 1 February: ten days."""
    said = lines(all_blocked(2, due=date(2027, 1, 22)))
    assert "late J-1 by 10 days: parts due 22 Jan 2027, and no day is known" in said


def test_of_many_that_are_late_the_worst_eight_are_named_and_the_rest_counted() -> None:
    """J-1 is one day late, J-10 ten days: the two least late are only counted."""
    answer = all_blocked(10)
    engines = tuple(
        replace(engine, due=answers.TODAY - timedelta(days=number))
        for number, engine in enumerate(answer.request.engines, start=1)
    )
    said = lines(replace(answer, request=replace(answer.request, engines=engines)))
    late = next(place for place, line in enumerate(said) if line.startswith("late"))
    assert said[late].startswith("late J-10 by 10 days")
    assert said[late + 7].startswith("J-3 by 3 days")
    assert said[late + 8] == "and 2 more, marked below"


def test_where_nobody_is_late_and_nothing_is_blocked_both_are_none() -> None:
    answer = plan_of(3)
    only = replace(
        answer,
        request=replace(answer.request, engines=answer.request.engines[2:]),
        choice=replace(answer.choice, engines=answer.choice.engines[2:], orders=(), use=(Use("B40", SHELF, 2),)),
    )
    assert lines(only)[:5] == [
        "The plan for 1 engine",
        "can be built 1 of 1: 1 today",
        "blocked none",
        "late none",
        "to pay nothing: all of it is on the shelf",
    ]


def test_work_is_paid_beside_the_orders() -> None:
    """47.00 of orders and 45.00 of work are 92.00."""
    answer = plan_of(3)
    first = answer.choice.engines[0]
    worked = replace(first.cylinders[0], work=(Work(Lever.DECK_CUT, 0.1, 4500),))
    engines = (replace(first, cylinders=(worked, first.cylinders[1])), *answer.choice.engines[1:])
    said = lines(replace(answer, choice=replace(answer.choice, engines=engines)))
    assert "to pay 92.00: North 47.00, work 45.00" in said


def test_a_large_plan_that_buys_nothing_says_where_all_of_it_is() -> None:
    answer = plan_of(MOST_AT_LENGTH + 1)
    bought = replace(answer, choice=replace(answer.choice, orders=(), use=(Use("B40", SHELF, 2),)))
    assert "Nothing to buy: all of it is on the shelf" in lines(bought)


def test_a_large_plan_marks_special_orders_and_what_only_fills() -> None:
    """Twice 16.40, once 38.00 and 9.00 of freight are 79.80."""
    answer = plan_of(MOST_AT_LENGTH + 1)
    lines_of = (
        replace(answers.ORDER.lines[0], offer=answers.CALLED, packs=2, engines=("J-1",)),
        replace(answers.ORDER.lines[0], engines=(), filler_packs=1),
    )
    order = replace(answers.ORDER, lines=lines_of)
    supply = replace(answer.supply, suppliers={"North": Supplier("North", 900)})
    said = lines(replace(answer, supply=supply, choice=replace(answer.choice, orders=(order,))))
    assert any(line.startswith("North 2 × H60 (special order), 1 × H32 (fills the order) 79.80") for line in said)


def test_contests_are_told_of_the_engines_that_are_shown() -> None:
    """A short page tells of those asked for alone; a page at length of all."""
    assert Shown(engines=("J-1",)).who_stood_back(3) == ("J-1",)
    assert Shown().who_stood_back(MOST_AT_LENGTH + 1) == ()
    assert Shown().who_stood_back(MOST_AT_LENGTH) is None
    assert Shown(everything=True).who_stood_back(100) is None
