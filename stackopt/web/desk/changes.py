"""A new plan beside what is held now: what changes for which engine, and why."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from msgspec import Struct

from stackopt.choose.records import FittedEngine
from stackopt.choose.why.contests import Contest
from stackopt.choose.why.explain import Answer
from stackopt.web.desk.solving import SolvingTask


class PlanChange(Struct, frozen=True):
    """One engine in a new plan: what it is called for it, its pieces before and after, and why."""

    engine: str
    words: str
    before: str
    after: str
    why: str


def plan_changes(answer: Answer, work: SolvingTask) -> tuple[PlanChange, ...]:
    """Return every engine of a plan, those that change first."""
    contests = {contest.engine: contest for contest in answer.contests}
    changes = [_change(fitted, work.previous, contests) for _, fitted in answer.pairs()]
    return tuple(sorted(changes, key=lambda change: change.words == "stays as it is"))


def _change(
    fitted: FittedEngine, previous: Mapping[str, Mapping[str, tuple[str, ...]]], contests: Mapping[str, Contest]
) -> PlanChange:
    held = previous.get(fitted.engine, {})
    after = {each.cylinder: tuple(piece.part for piece in each.pieces) for each in fitted.cylinders}
    why = " ".join(fitted.reasons) or " ".join(_stood_back(contests.get(fitted.engine)))
    return PlanChange(fitted.engine, _words(held, after), _pieces(held), _pieces(after), why)


def _words(before: Mapping[str, tuple[str, ...]], after: Mapping[str, tuple[str, ...]]) -> str:
    if not after:
        return "gives back what it holds: blocked" if before else "blocked"
    if not before:
        return "gets parts"
    same = {name: sorted(pieces) for name, pieces in before.items()} == {n: sorted(p) for n, p in after.items()}
    return "stays as it is" if same else "gets other parts"


def _pieces(cylinders: Mapping[str, tuple[str, ...]]) -> str:
    return "; ".join(f"{name}: {' + '.join(pieces)}" for name, pieces in cylinders.items()) or "nothing"


def _stood_back(contest: Contest | None) -> Iterator[str]:
    """Say whom an engine stood back for."""
    if contest is not None:
        for wanted in contest.wanted:
            bound = f", and {', '.join(wanted.bound)} can use nothing else" if wanted.bound else ""
            have = "have" if len(wanted.holders) > 1 else "has"
            yield f"Alone it would have {wanted.part}: {' and '.join(wanted.holders)} {have} it{bound}."
