"""Explaining ends with its time: what was found by then stands, and what was not looked for is named."""

from __future__ import annotations

from msgspec.structs import replace

from stackopt.choose.choice_records import Request
from stackopt.choose.patience import Patience
from stackopt.choose.solve.plan import make_task, solved
from stackopt.choose.why.explain import NEXT_BEST, NOT_LOOKED_FOR, OTHER_PREFERENCES, WHO_STOOD_BACK, Answer, explained
from tests.choose.situations import TODAY
from tests.choose.why.test_contests import held, single


def without_time(*engines, **pieces: int) -> Answer:
    """Return the answer for these engines and pieces, proven, and explained by someone who has no time at all."""
    request = Request(engines, TODAY)
    task = make_task(request, held(**pieces))
    return explained(replace(request, patience=Patience(stopped=True)), task, solved(task))


def test_one_engine_has_its_answer_and_no_others() -> None:
    answer = without_time(single("E", 0.0), B20=1, B40=1, H60=1)
    assert not answer.choice.blocked
    assert (list(answer.alternatives["E"]), list(answer.preferences)) == ([], [])
    assert answer.untold == (NEXT_BEST, OTHER_PREFERENCES)


def test_a_blocked_engine_says_that_its_reason_was_not_looked_for() -> None:
    answer = without_time(single("E", 0.5), single("F", 0.6), B20=1, H60=1)
    assert [fitted.reasons for fitted in answer.choice.engines] == [(NOT_LOOKED_FOR,)] * 2
    assert answer.untold == ("why E and 1 more cannot be finished", "what would free E and 1 more")


def test_who_stood_back_is_named_as_not_looked_for() -> None:
    """B20 alone does for HARD, and EASY is nearer its aim with it (test_contests)."""
    answer = without_time(single("EASY", 0.0), single("HARD", 0.05), B20=1, B40=1, H60=2)
    assert (answer.contests, answer.untold) == ((), (WHO_STOOD_BACK,))


def test_after_a_solve_there_is_a_moment_at_least() -> None:
    """A solve that took all its time leaves a second to explain with; one without a limit leaves no limit."""
    assert 0 < Patience.of_seconds(0).afterwards().seconds_left <= 1
    assert 0 < Patience(stopped=True).afterwards().seconds_left <= 1
    assert Patience().afterwards().seconds_left == float("inf")
    assert 50 < Patience.of_seconds(60).afterwards().seconds_left <= 60
