"""What was tried, and the head gasket for every base at hand, as parts of a JSON document."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from stackopt.choose.tried.hand import is_listed
from stackopt.choose.tried.heads import HeadNeeded
from stackopt.choose.tried.needed import Needs
from stackopt.choose.tried.stacks import Tried
from stackopt.parts.part_records import Part
from stackopt.report.plain import chance_number, plain_number

Document = dict[str, Any]


def tried_document(tried: Tried, parts: Mapping[str, Part]) -> Document:
    """Return what comes out of a stack in the hand, which limits it breaks, and which piece a gap needs."""
    document = {
        "cylinder": tried.cylinder,
        "pieces": [_piece(part, parts) for part in tried.pieces],
        "quench_mm": _known(tried.quench_mm),
        "compression_ratio": _known(tried.compression_ratio),
        "chance_in_window": chance_number(tried.chance_in_window),
        "left_out": list(tried.left_out),
        "inside": tried.inside,
        "broken": list(tried.broken),
        "free": tried.free,
        "figures": [
            {"name": one.name, "value": plain_number(one.value), "unit": one.unit, "within": one.within}
            for one in tried.figures
        ],
    }
    return document if tried.needs is None else document | {"needs": needs_document(tried.needs)}


def head_document(needed: HeadNeeded) -> Document:
    """Return which head gasket a base needs."""
    return {"cylinder": needed.cylinder, "base": list(needed.base), "needs": needs_document(needed.needs)}


def needs_document(needs: Needs) -> Document:
    """Return which piece is needed."""
    return {
        "role": str(needs.role),
        "aim_mm": _known(needs.aim_mm),
        "inside_mm": [[plain_number(low), plain_number(high)] for low, high in needs.inside_mm],
        "listed": [part.number for part in needs.listed],
        "opening_mm": plain_number(needs.opening_mm) if needs.opening_mm else None,
    }


def _piece(part: Part, parts: Mapping[str, Part]) -> Document:
    return {
        "part": part.number if is_listed(part, parts) else None,
        "role": str(part.kind),
        "thickness_mm": plain_number(part.thickness_mm),
    }


def _known(value: float | None) -> float | None:
    return None if value is None else plain_number(value)
