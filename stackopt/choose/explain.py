"""A choice with its reasons: the next best for an engine asked about alone, and what would free each blocked one."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

from stackopt.choose.alternatives import Alternative, next_best
from stackopt.choose.blocked import BlockedCylinder, blocked_cylinders
from stackopt.choose.preferences import OtherPreference, other_preferences
from stackopt.choose.reasons import blocked_reasons
from stackopt.choose.records import Choice, FittedEngine, Request
from stackopt.engine.records import Engine
from stackopt.parts.records import Supply


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
        By engine: the next best choices, best first; only where one engine was asked about, and can be finished.
    blocked
        By blocked engine: what is to be said of each cylinder that nothing fits.
    preferences
        What another order of preference would bring; only where one engine was asked about, and can be finished.
    """

    request: Request
    supply: Supply
    choice: Choice
    alternatives: Mapping[str, Sequence[Alternative]]
    blocked: Mapping[str, Sequence[BlockedCylinder]]
    preferences: Sequence[OtherPreference] = ()

    def pairs(self) -> Iterator[tuple[Engine, FittedEngine]]:
        """Yield each engine as asked with what it gets."""
        return zip(self.request.engines, self.choice.engines, strict=True)


def explained(request: Request, supply: Supply, choice: Choice) -> Answer:
    """Return a choice with its reasons."""
    blocked: dict[str, Sequence[BlockedCylinder]] = {}
    engines = []
    for engine, fitted in zip(request.engines, choice.engines, strict=True):
        if fitted.blocked:
            blocked[engine.name] = blocked_cylinders(request, supply, engine)
            reasons = blocked_reasons(request, supply, engine, blocked[engine.name])
        engines.append(replace(fitted, reasons=reasons) if fitted.blocked else fitted)
    single = request.engines if len(engines) == 1 and not choice.blocked else ()
    alternatives = {engine.name: next_best(request, supply, engine, choice) for engine in single}
    preferences = other_preferences(request, supply, choice) if single else ()
    return Answer(request, supply, replace(choice, engines=tuple(engines)), alternatives, blocked, preferences)
