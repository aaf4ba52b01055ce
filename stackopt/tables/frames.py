"""Documents of plain values to data frames, column by column with its type.

The columns of every table, in their order, stand in `TABLES`; the guide's topic `python` explains each.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any

import pandas as pd

Row = Mapping[str, Any]

TEXT, COUNT, NUMBER, YES_NO, CATEGORY, DAY = "string", "Int64", "Float64", "boolean", "category", "datetime64[ns]"
LISTED = "object"  # lists, as the families that a part fits

_DESCRIBED = {"kind": CATEGORY, "fits": LISTED, "thickness_mm": NUMBER, "opening_mm": NUMBER, "covers": COUNT}
_PLACED = {"file": TEXT, "sheet": TEXT, "item": TEXT, "found": TEXT, "expected": TEXT}
_PASS = {"objective": CATEGORY, "value": NUMBER, "bound": NUMBER, "gap": NUMBER}
_FIGURES = {
    "quench_mm": NUMBER,
    "compression_ratio": NUMBER,
    "chance_in_window": NUMBER,
    "left_out": LISTED,
    "closeness": NUMBER,
}
_PIECES = {"pieces": LISTED, "from": LISTED, "work": LISTED, "base_gasket": TEXT, "head_gasket": TEXT}

TABLES: dict[str, dict[str, str]] = {
    "stock": {
        "part": TEXT,
        **_DESCRIBED,
        "tolerance_mm": NUMBER,
        "on_hand": COUNT,
        "reserved": COUNT,
        "on_order": COUNT,
        "expected": DAY,
        "minimum": COUNT,
        "maximum": COUNT,
        "unit_cost_cents": COUNT,
        "bin": TEXT,
    },
    "offers": {
        "supplier": CATEGORY,
        "part": TEXT,
        "supplier_part": TEXT,
        "price_cents": COUNT,
        "tiers": LISTED,
        "pack": COUNT,
        "minimum_packs": COUNT,
        "lead_days": COUNT,
        "special_order": YES_NO,
        "discontinued": YES_NO,
        "superseded_by": TEXT,
        "currency": CATEGORY,
        **_DESCRIBED,
    },
    "suppliers": {
        "supplier": TEXT,
        "freight_cents": COUNT,
        "free_freight_over_cents": COUNT,
        "minimum_order_cents": COUNT,
    },
    "kits": {"kit": TEXT, "part": TEXT, "quantity": COUNT},
    "usage": {"part": TEXT, "date": DAY, "quantity": COUNT},
    "services": {"service": TEXT, "price_cents": COUNT, "per": TEXT},
    "engines": {
        "engine": TEXT,
        "family": CATEGORY,
        "cylinder": TEXT,
        "bore_mm": NUMBER,
        "stroke_mm": NUMBER,
        "deck_mm": NUMBER,
        "deck_side": CATEGORY,
        "rod_length_mm": NUMBER,
        "chamber_volume_cc": NUMBER,
        "piston_volume_cc": NUMBER,
        "quench_min_mm": NUMBER,
        "quench_aim_mm": NUMBER,
        "quench_max_mm": NUMBER,
        "compression_min": NUMBER,
        "compression_aim": NUMBER,
        "compression_max": NUMBER,
        "due": DAY,
        "priority": COUNT,
    },
    "problems": {**_PLACED, "mend": TEXT},
    "questions": {**_PLACED, "answers": LISTED, "answer_with": TEXT},
    "cylinders": {
        "engine": TEXT,
        "family": CATEGORY,
        "due": DAY,
        "ready_on": DAY,
        "wait_days": COUNT,
        "late_days": COUNT,
        "cylinder": TEXT,
        **_FIGURES,
        **_PIECES,
    },
    "blocked": {"engine": TEXT, "family": CATEGORY, "due": DAY, "may_wait_until": DAY, "reasons": LISTED},
    "orders": {
        "supplier": CATEGORY,
        "part": TEXT,
        "supplier_part": TEXT,
        "packs": COUNT,
        "pack": COUNT,
        "price_cents": COUNT,
        "line_cents": COUNT,
        "special_order": YES_NO,
        "here_on": DAY,
        "why": CATEGORY,
        "for": LISTED,
        "filler_packs": COUNT,
        "freight_cents": COUNT,
        "total_cents": COUNT,
        "order_by": DAY,
    },
    "use": {"part": TEXT, "from": TEXT, "quantity": COUNT},
    "passes": {**_PASS, "seconds": NUMBER},
    "alternatives": {
        "engine": TEXT,
        "rank": COUNT,
        "cylinder": TEXT,
        **_FIGURES,
        **_PIECES,
        "lost_on": CATEGORY,
        "lost_by": NUMBER,
    },
    "read": {
        "engine": TEXT,
        "cylinder": TEXT,
        "deck_mm": NUMBER,
        "deck_side": CATEGORY,
        "bore_mm": NUMBER,
        "stroke_mm": NUMBER,
        "chamber_volume_cc": NUMBER,
        "piston_volume_cc": NUMBER,
        "quench_window_mm": LISTED,
        "compression_window": LISTED,
    },
    "cautions": {"engine": TEXT, "cylinder": TEXT, "about": CATEGORY, "text": TEXT},
    "tried": {
        "cylinder": TEXT,
        "pieces": LISTED,
        "quench_mm": NUMBER,
        "compression_ratio": NUMBER,
        "chance_in_window": NUMBER,
        "left_out": LISTED,
        "inside": YES_NO,
        "broken": LISTED,
        "free": YES_NO,
        "needs_role": CATEGORY,
        "needs_aim_mm": NUMBER,
        "needs_inside_mm": LISTED,
        "needs_listed": LISTED,
        "needs_opening_mm": NUMBER,
    },
    "levers": {
        "engine": TEXT,
        "cylinder": TEXT,
        "lever": CATEGORY,
        "reaches": TEXT,
        "amount_mm": NUMBER,
        "price_cents": COUNT,
        "parts": LISTED,
        "quench_mm": NUMBER,
        "compression_ratio": NUMBER,
        "inside": YES_NO,
    },
    "trade_off": {"point": COUNT, "proven": YES_NO, **_PASS},
    "parts": {
        "part": TEXT,
        "free": COUNT,
        "needed": COUNT,
        "on_order": COUNT,
        "reorder_point": COUNT,
        "order_up_to": COUNT,
        "order_quantity": COUNT,
        "rule": TEXT,
        "quantity_rule": TEXT,
        "runs_out": DAY,
        "for": LISTED,
        "lacking": COUNT,
        "waits": YES_NO,
        "drop": YES_NO,
        "idle": COUNT,
        "idle_cents": COUNT,
        "idle_rule": TEXT,
        "model": CATEGORY,
        "demand_per_year": NUMBER,
    },
    "asks": {
        "kind": CATEGORY,
        "families": LISTED,
        "thickness_min_mm": NUMBER,
        "thickness_max_mm": NUMBER,
        "opening_mm": NUMBER,
        "quantity": COUNT,
        "for": TEXT,
    },
    "service": {
        "part": TEXT,
        "supplier": CATEGORY,
        "lead_times": COUNT,
        "bridged": COUNT,
        "share": NUMBER,
        "interval_95": LISTED,
        "asked": NUMBER,
        "falls_short": YES_NO,
    },
    "kept": {
        "part": TEXT,
        "on_hand": COUNT,
        "keep": COUNT,
        "sell_off": COUNT,
        "packs": COUNT,
        "pack": COUNT,
        "supplier": TEXT,
        "buy_cents": COUNT,
        "asked_a_scenario": NUMBER,
    },
    "curve": {"tied_up_cents": COUNT, "share_built": NUMBER, "half_width_95": NUMBER, "interval_95": LISTED},
}


def frame(table: str, rows: Iterable[Row]) -> pd.DataFrame:
    """Return rows as a frame with the columns of a table, each of its type; what a row does not say is missing.

    Raises
    ------
    KeyError
        When `TABLES` has no such table.
    """
    columns = TABLES[table]
    listed = list(rows)
    return pd.DataFrame({name: _column([row.get(name) for row in listed], kind) for name, kind in columns.items()})


def _column(values: list[Any], kind: str) -> pd.Series[Any]:
    if kind == DAY:
        return pd.Series(pd.to_datetime(pd.Series(values, dtype=object), format="%Y-%m-%d").astype("datetime64[ns]"))
    return pd.Series(values, dtype=kind)
