"""A choice with its reasons: the next best for an engine asked about alone, and what would free each blocked one."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import TYPE_CHECKING

from stackopt.choose.alternatives import Alternative, next_best
from stackopt.choose.blocked import BlockedCylinder, blocked_cylinders
from stackopt.choose.contests import Contest, contests
from stackopt.choose.freeing import Freeing, freeing_things
from stackopt.choose.patience import Patience
from stackopt.choose.preferences import OtherPreference, other_preferences
from stackopt.choose.reasons import blocked_reasons
from stackopt.choose.records import Choice, FittedEngine, Request, Status
from stackopt.choose.solve import Task
from stackopt.engine.records import Engine
from stackopt.parts.records import Supply

# Levers and trade-offs are looked at where they are asked about: not what every call waits for.
if TYPE_CHECKING:
    from stackopt.choose.frontier import Frontier
    from stackopt.choose.lever_offers import LeverOffer


@dataclass(frozen=True, slots=True)
class Answer:
    """A choice and its reasons.

    Parameters
    ----------
    request, supply
        What was asked, and what there was.
    choice
        The answer; its engines stand in the request's order, blocked ones with their reasons.
    alternatives
        By engine: the next best choices, best first; only where one engine was asked about and the choice
        for it is proven.
    blocked
        By blocked engine: what is to be said of each cylinder that nothing fits.
    preferences
        What another order of preference would bring; on the same terms.
    contests
        The engines that would have got better parts alone; only in a proven plan of several.
    trade_off
        What two objectives cost each other (`frontier.trade_off`), where that is asked.
    freeing
        By blocked engine: the single things that would free it.
    lever_offers
        By engine: what each lever would do (`lever_offers.lever_offers`), where that is asked.
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

    def pairs(self) -> Iterator[tuple[Engine, FittedEngine]]:
        """Yield each engine as asked with what it gets."""
        return zip(self.request.engines, self.choice.engines, strict=True)


def explained(request: Request, task: Task, choice: Choice) -> Answer:
    """Return a choice with its reasons; `task` is what was solved for the request."""
    supply = task.supply
    blocked: dict[str, Sequence[BlockedCylinder]] = {}
    engines = []
    for engine, fitted in zip(request.engines, choice.engines, strict=True):
        if fitted.blocked:
            blocked[engine.name] = blocked_cylinders(request, supply, engine)
            reasons = blocked_reasons(request, supply, engine, blocked[engine.name])
        engines.append(replace(fitted, reasons=reasons) if fitted.blocked else fitted)
    compared = request.engines if len(engines) == 1 and choice.status is Status.PROVEN and not choice.blocked else ()
    unhurried = replace(task, patience=Patience())
    alternatives = {engine.name: next_best(unhurried, choice) for engine in compared}
    preferences = other_preferences(unhurried, choice) if compared else ()
    freeing = {
        engine.name: freeing_things(request, supply, engine, choice, blocked[engine.name])
        for engine in request.engines
        if engine.name in blocked
    }
    choice = replace(choice, engines=tuple(engines))
    stood_back = contests(task, choice) if len(engines) > 1 and choice.status is Status.PROVEN else ()
    return Answer(request, supply, choice, alternatives, blocked, preferences, stood_back, freeing=freeing)
