"""What an owner reads of a plan: the whole in a few lines, a line an engine, the rest where it is asked for."""

from __future__ import annotations

from datetime import date

from msgspec.structs import replace
from rich.console import Console

from stackopt.choose.choice_records import SHELF, FittedEngine, Status
from stackopt.choose.why.explain import Answer
from stackopt.report.plan.page import plan_text
from stackopt.report.plan.shown import MOST_AT_LENGTH, Shown
from tests.report import answers


def whose(fitted: FittedEngine, *sources: str) -> FittedEngine:
    cylinders = tuple(replace(cylinder, sources=sources) for cylinder in fitted.cylinders)
    return replace(fitted, cylinders=cylinders)


def plan_of(count: int) -> Answer:
    """So many engines: the first waits six days for North, the second is blocked until 1 March, the rest are ready."""
    names = [f"J-{number}" for number in range(1, count + 1)]
    engines = tuple(replace(answers.ENGINE, name=name) for name in names)
    ready = replace(whose(answers.FITTED, SHELF, SHELF), wait_days=0)
    fitted = [replace(ready, engine=name) for name in names]
    fitted[0] = whose(answers.FITTED, SHELF, "North")
    fitted[1] = FittedEngine("J-2", (), ("rear: nothing fits.",))
    order = replace(answers.ORDER, lines=(replace(answers.ORDER.lines[0], engines=("J-1",)),))
    choice = replace(answers.CHOICE, status=Status.PROVEN, engines=tuple(fitted), orders=(order,))
    request = replace(answers.SOLVED.request, engines=engines)
    return Answer(
        request, answers.SUPPLY, choice, {}, {"J-2": (answers.STUCK,)}, may_wait_until={"J-2": date(2027, 3, 1)}
    )


def lines(answer: Answer, shown: Shown = Shown()) -> list[str]:  # noqa: B008 - frozen
    text = plan_text(Console(width=200, highlight=False), answer, shown)
    return [" ".join(line.split()) for line in text.splitlines()]


def test_it_begins_with_how_many_can_be_built_what_is_blocked_and_late_and_what_is_paid() -> None:
    """6 days after 1 February is the 7th; due on 20 February and ready on 1 March is 9 days late."""
    assert lines(plan_of(3))[:6] == [
        "The plan for 3 engines",
        "can be built 2 of 3: 1 today, 1 later, the last on 7 Feb 2027",
        "blocked 1; 1 of them can be built on a later day",
        "J-2: none of 2 pairs of base and head gasket brings the quench into its window",
        "late J-2 by 9 days: parts due 20 Feb 2027, can be ready on 1 Mar 2027",
        "to pay 47.00: North 47.00",
    ]


def test_every_engine_has_a_line_with_its_own_sources() -> None:
    said = lines(plan_of(3))
    assert "J-1 waits 20 Feb 2027 7 Feb 2027 shelf, North" in said
    assert "J-2 blocked 20 Feb 2027 1 Mar 2027 9 days if it may wait" in said
    assert "J-3 ready 20 Feb 2027 today shelf" in said


def test_an_engine_past_its_due_date_is_late_though_its_parts_are_here() -> None:
    """Due on 29 January, today is 1 February."""
    answer = plan_of(3)
    engines = (*answer.request.engines[:2], replace(answer.request.engines[2], due=date(2027, 1, 29)))
    said = lines(replace(answer, request=replace(answer.request, engines=engines)))
    assert "J-3 by 3 days: parts due 29 Jan 2027, ready on 1 Feb 2027" in said
    assert "J-3 ready 29 Jan 2027 today 3 days shelf" in said


def test_a_piece_says_its_own_source_where_a_part_comes_from_two() -> None:
    """J-1 gets its head gasket from North, J-3 one of the same number from the shelf."""
    said = lines(plan_of(3))
    assert any(line.startswith("J-1 front B40 + H32 (North)") for line in said)
    assert any(line.startswith("J-3 front B40 + H32 0.913") for line in said)


def test_a_large_plan_leaves_the_cylinders_to_whom_asks() -> None:
    large = plan_of(MOST_AT_LENGTH + 1)
    assert not any(line.startswith("What goes where") for line in lines(large))
    assert any(line.startswith("What goes where") for line in lines(large, Shown(everything=True)))
    assert any(line.startswith("What goes where") for line in lines(plan_of(MOST_AT_LENGTH)))
    assert "North 1 × H32 47.00 7 Feb 2027 14 Feb 2027" in lines(large)


def test_what_is_always_heeded_stands_on_the_short_page_too() -> None:
    assert any("Mock it up before it turns under power" in line for line in lines(plan_of(MOST_AT_LENGTH + 1)))


def test_a_hundred_engines_take_no_more_than_a_hundred_and_thirty_lines() -> None:
    assert len(lines(plan_of(100))) <= 130


def test_one_engine_of_a_plan_is_shown_alone_and_at_length() -> None:
    said = lines(plan_of(3), Shown(engines=("J-1",)))
    assert said[0] == "J-1, family A, parts due 20 Feb 2027"
    assert "head gasket H32, 0.813 mm North" in said
    assert not any("J-3" in line for line in said)


def test_changes_since_the_previous_plan_are_named() -> None:
    answer = plan_of(3)
    kept = {"front": ("B40", "H32"), "rear": ("B40", "H32")}
    previous = {"J-1": kept | {"rear": ("B40", "H60")}, "J-3": kept}
    said = lines(replace(answer, request=replace(answer.request, previous=previous)))
    assert "J-1 rear B40 + H32 B40 + H60" in said
    assert "What is changed since the previous plan" in said
    same = lines(replace(answer, request=replace(answer.request, previous={"J-3": kept})))
    assert "Nothing is changed since the previous plan" in same
