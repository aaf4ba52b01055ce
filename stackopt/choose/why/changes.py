"""What a plan changes against a previous one: which cylinder gets what instead of what."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator

from msgspec import Struct

from stackopt.choose.choice_records import Choice, Fitted


class CylinderChange(Struct, frozen=True):
    """A cylinder that got `before` in the previous plan and now gets `now`: part numbers, none where it is blocked."""

    engine: str
    cylinder: str
    before: tuple[str, ...]
    now: tuple[str, ...]


def changes(previous: Fitted, choice: Choice) -> tuple[CylinderChange, ...]:
    """Return the cylinders that get other pieces than in a previous plan, of the engines that stand in both.

    Parameters
    ----------
    previous
        What the previous plan fitted; engines that were blocked in it are not there.
    choice
        The plan.
    """
    return tuple(_changes(previous, choice))


def _changes(previous: Fitted, choice: Choice) -> Iterator[CylinderChange]:
    for fitted in choice.engines:
        before = previous.get(fitted.engine, {})
        now = {cylinder.cylinder: tuple(piece.part for piece in cylinder.pieces) for cylinder in fitted.cylinders}
        for name, parts in before.items():
            if Counter(parts) != Counter(now.get(name, ())):
                yield CylinderChange(fitted.engine, name, tuple(parts), now.get(name, ()))
