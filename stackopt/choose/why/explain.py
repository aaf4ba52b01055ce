"""A choice with its reasons: the next best for an engine asked about alone, and what would free each blocked one."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from datetime import date
from typing import TYPE_CHECKING

from msgspec import Struct, field
from msgspec.structs import replace

from stackopt.choose.patience import Patience
from stackopt.choose.records import Choice, FittedEngine, Request, Status
from stackopt.choose.solve.task import Task
from stackopt.choose.why.alternatives import Alternative, next_best
from stackopt.choose.why.blocked import blocked_cylinders
from stackopt.choose.why.cautions import engine_cautions
from stackopt.choose.why.contests import contests
from stackopt.choose.why.freeing import MOST_FREED, freeing_things
from stackopt.choose.why.preferences import OtherPreference, other_preferences
from stackopt.choose.why.reasons import blocked_reasons, first_day
from stackopt.engine.cautions import Caution, Units
from stackopt.engine.records import Engine
from stackopt.parts.records import Supply

# What only some answers hold is not what every call waits for.
if TYPE_CHECKING:
    from stackopt.choose.tried.heads import HeadNeeded
    from stackopt.choose.tried.stacks import Tried
    from stackopt.choose.why.blocked import BlockedCylinder
    from stackopt.choose.why.contests import Contest
    from stackopt.choose.why.freeing import Freeing
    from stackopt.choose.why.frontier import Frontier
    from stackopt.choose.why.lever_offers import LeverOffer


class Answer(Struct, frozen=True):
    """A choice and its reasons.

    Parameters
    ----------
    request, supply
        What was asked, and what there was.
    choice
        The answer; its engines stand in the request's order, blocked ones with their reasons.
    alternatives
        By engine: the next best choices, best first; only where one engine was asked about and the choice
        for it is the best of all that was tried.
    blocked
        By blocked engine: what is to be said of each cylinder that nothing fits.
    preferences
        What another order of preference would bring; on the same terms.
    contests
        The engines that would have got better parts alone; only in a proven plan of several.
    trade_off
        What two objectives cost each other (`frontier.trade_off`), where that is asked.
    tried
        What the builder holds in his hand (`tried.stacks.tried_stacks`), where that is asked.
    heads
        For every base at hand which head gasket it needs; where one engine is asked about.
    units
        The unit of length that its reader thinks in.
    freeing
        By blocked engine: the single things that would free it.
    lever_offers
        By engine: what each lever would do (`lever_offers.lever_offers`), where that is asked.
    may_wait_until
        By blocked engine: the first day after its due date by which what the others leave would finish it.
    """

    request: Request
    supply: Supply
    choice: Choice
    alternatives: Mapping[str, Sequence[Alternative]]
    blocked: Mapping[str, Sequence[BlockedCylinder]]
    preferences: Sequence[OtherPreference] = ()
    contests: Sequence[Contest] = ()
    lever_offers: Mapping[str, Sequence[LeverOffer]] = field(default_factory=dict)
    trade_off: Frontier | None = None
    freeing: Mapping[str, Sequence[Freeing]] = field(default_factory=dict)
    tried: Sequence[Tried] = ()
    heads: Sequence[HeadNeeded] = ()
    units: Units = Units.MM
    may_wait_until: Mapping[str, date] = field(default_factory=dict)

    def pairs(self) -> Iterator[tuple[Engine, FittedEngine]]:
        """Yield each engine as asked with what it gets."""
        return zip(self.request.engines, self.choice.engines, strict=True)

    def cautions_of(self, engine: Engine, fitted: FittedEngine) -> tuple[Caution, ...]:
        """Return what the answer for one engine calls for beyond what is always said."""
        told, today = engine.name in self.lever_offers, self.request.today
        return engine_cautions(engine, fitted, self.supply, levers_told=told, today=today)


def explained(request: Request, task: Task, choice: Choice) -> Answer:
    """Return a choice with its reasons; `task` is what was solved for the request."""
    answer = Answer(request, task.supply, choice, {}, {})
    unhurried = replace(task, patience=Patience())
    if choice.blocked:
        answer = _with_blocked(answer)
    if choice.status is not Status.PROVEN:
        return _with_next_best_of_the_tried(answer, task)
    if len(request.engines) > 1:
        return replace(answer, contests=contests(task, answer.choice))
    if choice.blocked:
        return answer
    alternatives = {engine.name: next_best(unhurried, choice) for engine in request.engines}
    return replace(answer, alternatives=alternatives, preferences=other_preferences(unhurried, choice))


def _with_next_best_of_the_tried(answer: Answer, task: Task) -> Answer:
    """Add the next best where one engine's answer is the best of all tried, and only other depths of cuts are open.

    Where time ran out it is not even that.
    """
    if len(task.jobs) > 1 or task.jobs[0].apart is None or task.patience.over or answer.choice.blocked:
        return answer
    (engine,) = answer.choice.engines
    return replace(answer, alternatives={engine.engine: next_best(replace(task, patience=Patience()), answer.choice)})


def _with_blocked(answer: Answer) -> Answer:
    """Add why engines are blocked, and what would free each."""
    request, supply, choice = answer.request, answer.supply, answer.choice
    blocked: dict[str, Sequence[BlockedCylinder]] = {}
    freeing: dict[str, Sequence[Freeing]] = {}
    days: dict[str, date] = {}
    engines = []
    for engine, fitted in answer.pairs():
        if fitted.blocked:
            cylinders = blocked[engine.name] = blocked_cylinders(request, supply, engine)
            if len(freeing) < MOST_FREED:
                freeing[engine.name] = freeing_things(request, supply, engine, choice, cylinders)
                day = next((thing.day for thing in freeing[engine.name] if thing.day is not None), None)
            else:
                day = first_day(request, supply, engine, choice)
            if day is not None:
                days[engine.name] = day
            reasons = blocked_reasons(request, supply, engine, cylinders, day)
        engines.append(replace(fitted, reasons=reasons) if fitted.blocked else fitted)
    told = replace(choice, engines=tuple(engines))
    return replace(answer, choice=told, blocked=blocked, freeing=freeing, may_wait_until=days)
