"""Which thicknesses to keep as one JSON document: names with their units, money in whole cents, shares 0 to 1."""

from __future__ import annotations

from datetime import date
from typing import Any

from stackopt.stocking.range.range_records import RangeAnswer, RangePart, ValuedRange

Document = dict[str, Any]


def range_document(answer: RangeAnswer, today: date) -> Document:
    """Return which thicknesses to keep as a document."""
    outlook, proof = answer.outlook, answer.proof
    more = answer.more_per_cent_spent
    return {
        "status": str(proof.status),
        "today": today.isoformat(),
        "budget_cents": answer.budget_cents,
        "seed": outlook.seed,
        "scenarios": outlook.scenarios,
        "engines_a_scenario": outlook.engines,
        "families": [_family(answer, number) for number in range(len(outlook.families))],
        "chosen_by": {"share_built": proof.share, "bound": proof.bound},
        "gap_limit_95": proof.gap_limit,
        "gap_batches": proof.batches,
        "parts": [_part(part) for part in answer.parts],
        "ranges": {
            "chosen": _range(answer.chosen),
            "today": _range(answer.today),
            "equal_numbers": _range(answer.equal),
            "commonest_first": _range(answer.commonest),
        },
        "curve": [_range(point) for point in answer.curve],
        "share_reachable": answer.reachable,
        "share_more_per_100": None if more is None else 10_000 * more,
    }


def _family(answer: RangeAnswer, number: int) -> Document:
    family = answer.outlook.families[number]
    total = sum(each.share for each in answer.outlook.families)
    return {
        "family": family.family,
        "share": family.share / total,
        "patterns": len(family.patterns),
        "deck_mean_mm": None if family.deck is None else family.deck.mean_mm,
        "deck_spread_mm": None if family.deck is None else family.deck.spread_mm,
    }


def _part(part: RangePart) -> Document:
    return {
        "part": part.keepable.part,
        "on_hand": part.keepable.on_hand,
        "keep": part.keep,
        "sell_off": part.sell_off,
        "packs": part.packs,
        "pack": part.keepable.pack,
        "supplier": part.keepable.supplier,
        "buy_cents": part.buy_cents,
        "asked_a_scenario": part.asked,
    }


def _range(each: ValuedRange) -> Document:
    return {
        "tied_up_cents": each.cents,
        "share_built": each.share.mean,
        "half_width_95": each.share.half_width,
        "interval_95": [each.share.low, each.share.high],
    }
