"""Two simple rules for which thicknesses to keep, to hold the chosen range against."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from types import MappingProxyType

from stackopt.stocking.range.keepable import Keepable, tied_up_cents


def equal_numbers(keepable: Mapping[str, Keepable], budget_cents: float) -> dict[str, int]:
    """Keep equal numbers of every thickness, as far as packs and the money allow."""
    return _filled(keepable, budget_cents, lambda part, kept: (kept, part), {})


def commonest_first(
    keepable: Mapping[str, Keepable],
    needs: Mapping[str, float],
    budget_cents: float,
    first: Mapping[str, int] = MappingProxyType({}),
) -> dict[str, int]:
    """Keep what an average scenario would take if each cylinder got its nearest stack, the part most lacking first.

    `needs` are pieces a scenario by part number; when all are met, once more as many. `first` are pieces that are kept
    in any case.
    """

    def lacking(part: str, kept: int) -> tuple[float, str]:
        return (kept / needs[part], part) if needs.get(part) else (float("inf"), part)

    wanted = {part: each for part, each in keepable.items() if needs.get(part) or first.get(part)}
    return _filled(wanted, budget_cents, lacking, first)


def _filled(
    keepable: Mapping[str, Keepable],
    budget_cents: float,
    urgency: Callable[[str, int], tuple[float, str]],
    first: Mapping[str, int],
) -> dict[str, int]:
    """Raise the most urgent part to its next level again and again, while the money lasts."""
    kept = {part: first.get(part, 0) if each.piece_cents else each.on_hand for part, each in keepable.items()}
    left_cents = budget_cents - tied_up_cents(kept, keepable)
    open_parts = {part for part, each in keepable.items() if each.piece_cents}
    while open_parts:
        part = min(open_parts, key=lambda each: urgency(each, kept[each]))
        level = keepable[part].next_level(kept[part])
        cost_cents = 0.0 if level is None else (level - kept[part]) * keepable[part].piece_cents
        if level is None or cost_cents > left_cents:
            open_parts.remove(part)
            continue
        kept[part] = level
        left_cents -= cost_cents
    return kept
