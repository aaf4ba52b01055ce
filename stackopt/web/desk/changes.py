"""A new plan beside what is held now: what changes for which engine, and why; whether it can still be taken."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping

from msgspec import Struct

from stackopt.choose.choice_records import FittedEngine
from stackopt.choose.why.contests import Contest
from stackopt.choose.why.explain import Answer
from stackopt.parts.part_records import Supply, UnderWay
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


def changed_since(answer: Answer, planned: SolvingTask, now: SolvingTask) -> list[str]:
    """Return what a plan takes that is not as it was planned for: engines, pieces, offers; nothing else spoils it."""
    engines = {engine.name: (engine, now.previous.get(engine.name)) for engine in now.engines}
    changed = [
        engine.name
        for engine in planned.engines
        if engines.get(engine.name) != (engine, planned.previous.get(engine.name))
    ]
    taken = Counter(part for engine in answer.choice.engines for part in engine.part_numbers)
    changed += [part for part, pieces in sorted(taken.items()) if _is_short(part, pieces, planned.supply, now.supply)]
    for order in answer.choice.orders:
        terms_changed = planned.supply.supplier(order.supplier) != now.supply.supplier(order.supplier)
        changed += [order.supplier] if terms_changed else []
        # What fills an order for the shelf is no line of these engines' supply; sending tells a changed price.
        offers = [line.offer for line in order.lines if line.offer in planned.supply.offers]
        changed += [offer.part for offer in offers if offer not in now.supply.offers]
    return changed


def _is_short(part: str, pieces: int, planned: Supply, now: Supply) -> bool:
    """Tell whether fewer of the pieces that a plan takes are on the shelf, or under way, than were then."""
    wanted = min(pieces, planned.free(part))
    return now.free(part) < wanted or (pieces > wanted and _coming(part, planned) != _coming(part, now))


def _coming(part: str, supply: Supply) -> list[UnderWay]:
    return [each for each in supply.under_way if each.part == part]
