"""Why engines are blocked, what would free them and who stood back for whom, as parts of a JSON document."""

from __future__ import annotations

from typing import Any

from stackopt.choose.why.blocked import BlockedCylinder
from stackopt.choose.why.contests import Contest
from stackopt.choose.why.freeing import Freeing
from stackopt.report.plain import open_end, plain_number, work_document

Document = dict[str, Any]


def contest_document(contest: Contest) -> Document:
    """Return what an engine would have got alone, who has it, and what all would lose by the exchange."""
    return {
        "engine": contest.engine,
        "alone": [
            {"cylinder": cylinder.cylinder, "pieces": [piece.part for piece in cylinder.pieces]}
            for cylinder in contest.alone
        ],
        "closer_by": plain_number(contest.nearer_by),
        "wanted": [
            {"part": wanted.part, "has_it": list(wanted.holders), "can_use_nothing_else": list(wanted.bound)}
            for wanted in contest.wanted
        ],
        "all_lose_on": contest.lost_on or None,
        "all_lose": plain_number(contest.by) if contest.is_known else None,
    }


def freeing_document(thing: Freeing) -> Document:
    """Return a single thing that would free an engine; what it is not is null or empty."""
    return {
        "cost_cents": thing.cost_cents,
        "day": None if thing.day is None else thing.day.isoformat(),
        "part": thing.part or None,
        "kind": None if thing.kind is None else str(thing.kind),
        "pieces": thing.pieces or None,
        "thickness_min_mm": None if thing.thickness_mm is None else plain_number(thing.thickness_mm[0]),
        "thickness_max_mm": None if thing.thickness_mm is None else open_end(thing.thickness_mm[1]),
        "runs_mm": [[plain_number(low), plain_number(high)] for low, high in thing.runs],
        "commonest_mm": thing.commonest_mm,
        "opening_mm": plain_number(thing.opening_mm) if thing.opening_mm else None,
        "work": [{"cylinder": name} | work_document(work) for name, work in thing.work],
        "pistons": list(thing.pistons),
        "smallest": thing.smallest,
    }


def blocked_document(cylinder: BlockedCylinder) -> Document:
    """Return everything to be said of a cylinder that no stack fits."""
    cut = cylinder.deck_cut
    return {
        "cylinder": cylinder.cylinder,
        "reason": cylinder.reason,
        "near_misses": [
            {
                "parts": list(miss.parts),
                "on_shelf": miss.on_shelf,
                "quench_mm": plain_number(miss.quench_mm),
                "quench_miss_mm": plain_number(miss.quench_miss_mm),
                "compression_ratio": None if miss.compression_ratio is None else plain_number(miss.compression_ratio),
                "compression_miss": plain_number(miss.compression_miss),
            }
            for miss in cylinder.near_misses
        ],
        "head_gaskets": [
            {
                "base": list(row.base),
                "thickness_min_mm": None if row.thickness_mm is None else plain_number(row.thickness_mm[0]),
                "thickness_max_mm": None if row.thickness_mm is None else open_end(row.thickness_mm[1]),
                "runs_mm": [[plain_number(low), plain_number(high)] for low, high in row.runs],
                "commonest_mm": row.commonest_mm,
                "opening_mm": plain_number(row.opening_mm),
                "listed": [
                    {"part": each.part.number, "suppliers": [offer.supplier for offer in each.offers]}
                    for each in row.listings
                ],
            }
            for row in cylinder.would_do
        ],
        "deck_cut": None
        if cut is None
        else {
            "cut_mm": plain_number(cut.cut_mm),
            "parts": list(cut.parts),
            "quench_mm": plain_number(cut.quench_mm),
            "compression_ratio": None if cut.compression_ratio is None else plain_number(cut.compression_ratio),
        },
    }
