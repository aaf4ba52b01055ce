"""A choice with its reasons: the next best for an engine asked about alone, and what would free each blocked one."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping, Sequence
from datetime import date

from msgspec import Struct, field
from msgspec.structs import replace

from stackopt.choose.choice_records import Choice, FittedEngine, GivingWay, Request, Status
from stackopt.choose.patience import in_time
from stackopt.choose.solve.task import Task
from stackopt.choose.tried.heads import HeadNeeded
from stackopt.choose.tried.stacks import Tried
from stackopt.choose.why.alternatives import Alternative, next_best
from stackopt.choose.why.blocked import BlockedCylinder
from stackopt.choose.why.cautions import engine_cautions, supply_cautions
from stackopt.choose.why.contests import Contest, contests
from stackopt.choose.why.freeing import MOST_FREED, Freeing, freeing_things
from stackopt.choose.why.frontier import Frontier
from stackopt.choose.why.lever_offers import LeverOffer
from stackopt.choose.why.preferences import OtherPreference, other_preferences
from stackopt.choose.why.reasons import WhyBlocked, why_blocked
from stackopt.engine.cautions import Caution, Units
from stackopt.engine.engine_records import Engine
from stackopt.parts.part_records import Supply

NOT_LOOKED_FOR = "Why was not looked for: time was over."
NEXT_BEST = "the next best choices"
OTHER_PREFERENCES = "what another order of preference would bring"
WHO_STOOD_BACK = "which engines stood back for others"


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
    giving_way
        Whose held pieces would finish a blocked or waiting engine sooner (`giving_way.giving_way`).
    untold
        What would have been explained had there been time for it.
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
    giving_way: Sequence[GivingWay] = ()
    untold: Sequence[str] = ()

    @property
    def due_dates(self) -> dict[str, date | None]:
        """The due date of every engine, by name."""
        return {engine.name: engine.due for engine in self.request.engines}

    def pairs(self) -> Iterator[tuple[Engine, FittedEngine]]:
        """Yield each engine as asked with what it gets."""
        return zip(self.request.engines, self.choice.engines, strict=True)

    def cautions_of(self, engine: Engine, fitted: FittedEngine) -> tuple[Caution, ...]:
        """Return what the answer for one engine calls for beyond what is always said."""
        told, today = engine.name in self.lever_offers, self.request.today
        return engine_cautions(engine, fitted, self.supply, levers_told=told, today=today)

    def cautions_of_all(self) -> tuple[Caution, ...]:
        """Return what the answer calls for beyond what is said of single engines and what is always said."""
        return tuple(supply_cautions(self.supply, self.request.engines))


def explained(request: Request, task: Task, choice: Choice, stood_back: Collection[str] | None = None) -> Answer:
    """Return a choice with its reasons, as many as the request's patience allows; what time cut off is named.

    Parameters
    ----------
    request
        What was asked; its patience is that of explaining.
    task, choice
        What was solved for it, and the answer.
    stood_back
        The engines of which it is asked whether they stood back for others; None for all.
    """
    answer = Answer(request, task.supply, choice, {}, {})
    task = replace(task, patience=request.patience)
    if choice.blocked:
        answer = _with_blocked(answer)
    if not request.engines:
        return answer
    if len(request.engines) > 1:
        return _with_contests(answer, task, stood_back) if choice.status is Status.PROVEN else answer
    if not choice.engines or choice.blocked or not (choice.status is Status.PROVEN or _is_best_of_the_tried(task)):
        return answer
    return _with_next_best(answer, task)


def _is_best_of_the_tried(task: Task) -> bool:
    """Tell whether one engine's answer is the best of all that was tried, so that only other depths of cuts are open.

    Where time ran out it is not even that.
    """
    return task.jobs[0].apart is not None and not task.patience.over


def _with_next_best(answer: Answer, task: Task) -> Answer:
    """Add the next best choices for the one engine and, where it is proven, what other preferences would bring."""
    choice, (engine,) = answer.choice, answer.request.engines
    others, all_others = in_time(next_best(task, choice))
    answer = replace(answer, alternatives={engine.name: others})
    if not all_others:
        answer = _untold(answer, NEXT_BEST)
    if choice.status is not Status.PROVEN:
        return answer
    preferences, all_preferences = in_time(other_preferences(task, choice))
    answer = replace(answer, preferences=preferences)
    return answer if all_preferences else _untold(answer, OTHER_PREFERENCES)


def _with_contests(answer: Answer, task: Task, asked: Collection[str] | None) -> Answer:
    if asked is not None and not asked:
        return answer
    found, all_found = in_time(contests(task, answer.choice, asked))
    answer = replace(answer, contests=found)
    return answer if all_found else _untold(answer, WHO_STOOD_BACK)


def _untold(answer: Answer, *what: str) -> Answer:
    return replace(answer, untold=(*answer.untold, *what))


def _with_blocked(answer: Answer) -> Answer:
    """Add why engines are blocked, then what would free the first few of them."""
    request, supply, choice = answer.request, answer.supply, answer.choice
    engines = [engine for engine, fitted in answer.pairs() if fitted.blocked]
    found, _ = in_time(why_blocked(request, supply, engine, choice) for engine in engines)
    why = {engine.name: own for engine, own in zip(engines, found, strict=False)}
    to_free = engines[: min(MOST_FREED, len(why))]
    freed, _ = in_time(freeing_things(request, supply, engine, choice, why[engine.name]) for engine in to_free)
    answer = replace(
        answer,
        choice=replace(choice, engines=tuple(_with_reasons(fitted, why) for fitted in choice.engines)),
        blocked={name: own.cylinders for name, own in why.items()},
        freeing={engine.name: things for engine, things in zip(to_free, freed, strict=False)},
        may_wait_until={name: own.day for name, own in why.items() if own.day is not None},
    )
    return _untold(
        answer,
        *_of_engines("why {} cannot be finished", engines[len(found) :]),
        *_of_engines("what would free {}", engines[len(freed) : MOST_FREED]),
    )


def _with_reasons(fitted: FittedEngine, why: Mapping[str, WhyBlocked]) -> FittedEngine:
    if not fitted.blocked:
        return fitted
    return replace(fitted, reasons=why[fitted.engine].reasons if fitted.engine in why else (NOT_LOOKED_FOR,))


def _of_engines(words: str, engines: Sequence[Engine]) -> Iterator[str]:
    """Yield the words with the first of some engines named and the others counted; nothing where there are none."""
    if engines:
        others = f" and {len(engines) - 1} more" if len(engines) > 1 else ""
        yield words.format(f"{engines[0].name}{others}")
