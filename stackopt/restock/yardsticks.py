"""Two simple rules for which thicknesses to keep, to hold the chosen range against."""

from __future__ import annotations

from collections.abc import Callable, Mapping

from stackopt.restock.keepable import Keepable


def equal_numbers(keepable: Mapping[str, Keepable], budget_cents: float) -> dict[str, int]:
    """Keep equal numbers of every thickness, as far as packs and the money allow."""
    return _filled(keepable, budget_cents, lambda part, kept: (kept, part))


def commonest_first(
    keepable: Mapping[str, Keepable], needs: Mapping[str, float], budget_cents: float
) -> dict[str, int]:
    """Keep what an average scenario would take if each cylinder got its nearest stack, the part most lacking first.

    `needs` are pieces a scenario by part number; when all are met, once more as many.
    """

    def lacking(part: str, kept: int) -> tuple[float, str]:
        return (kept / needs[part], part) if needs.get(part) else (float("inf"), part)

    wanted = {part: each for part, each in keepable.items() if needs.get(part)}
    return _filled(wanted, budget_cents, lacking)


def _filled(
    keepable: Mapping[str, Keepable], budget_cents: float, urgency: Callable[[str, int], tuple[float, str]]
) -> dict[str, int]:
    """Raise the most urgent part to its next level again and again, while the money lasts."""
    kept = {part: 0 if each.piece_cents else each.on_hand for part, each in keepable.items()}
    left_cents, open_parts = budget_cents, {part for part, each in keepable.items() if each.piece_cents}
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
