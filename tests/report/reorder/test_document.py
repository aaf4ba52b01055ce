"""What to reorder as a JSON document: why each line is bought, and what is not known is null."""

from __future__ import annotations

import json

from msgspec.structs import replace

from stackopt.choose.choice_records import Status
from stackopt.report.reorder.document import restock_document
from tests.report.answers import TODAY
from tests.report.reorder.proposed import ASKS, FALLING, IDLE, LACKED, RESTOCK, SHORT


def test_each_part_says_its_level_its_reasons_and_for_whom() -> None:
    document = restock_document(RESTOCK, TODAY)
    assert document["parts"][0] == {
        "part": "H32",
        "free": 0,
        "needed": 2,
        "on_order": 0,
        "reorder_point": 1,
        "order_up_to": 4,
        "order_quantity": 4,
        "rule": "2 engines lack it",
        "quantity_rule": "",
        "runs_out": None,
        "for": ["J-1", "J-2"],
        "lacking": 2,
        "waits": False,
        "drop": False,
        "idle": 0,
        "idle_cents": 0,
        "idle_rule": "",
        "model": "Poisson",
        "demand_per_year": None,
    }
    assert document["parts"][1]["runs_out"] == "2027-02-20"
    json.dumps(document, allow_nan=False)


def test_an_idle_part_says_how_much_lies_there() -> None:
    (idle,) = restock_document(replace(RESTOCK, parts=(IDLE,), orders=()), TODAY)["parts"]
    assert (idle["idle"], idle["idle_cents"], idle["idle_rule"]) == (2, 3280, "2 would do")


def test_an_order_line_says_how_many_of_its_packs_only_fill() -> None:
    """Two of the four pieces of H32 fill, in packs of 2: one pack of two. B40 is bought for the shelf."""
    (order,) = restock_document(RESTOCK, TODAY)["orders"]
    first, second = order["lines"]
    assert (first["why"], first["for"], first["filler_packs"]) == ("needed", ["J-1", "J-2"], 1)
    assert (second["why"], second["for"], second["filler_packs"]) == ("needed", [], 0)


def test_a_line_whose_packs_all_fill_is_a_filler() -> None:
    """Nine pieces that fill are more than the two packs of 2 that are bought: both of them."""
    parts = (replace(LACKED, filler_pieces=9), FALLING)
    line = restock_document(replace(RESTOCK, parts=parts), TODAY)["orders"][0]["lines"][0]
    assert (line["why"], line["filler_packs"]) == ("filler", 2)


def test_how_much_dearer_it_can_be_is_whole_cents_and_never_negative() -> None:
    """12,400 less 11,950.4 is 449.6; a bound a hair above the cost is no negative sum."""
    found = replace(RESTOCK, status=Status.BEST_FOUND, bound_cents=11950.4)
    assert restock_document(found, TODAY)["at_most_dearer_cents"] == 450
    assert restock_document(replace(RESTOCK, bound_cents=12401.0), TODAY)["at_most_dearer_cents"] == 0


def test_what_to_ask_about_has_no_ends_where_the_thickness_does_not_matter() -> None:
    head, base, kit = restock_document(replace(RESTOCK, asks=ASKS), TODAY)["ask"]
    assert head == {
        "kind": "head gasket",
        "families": ["A", "C"],
        "thickness_min_mm": 0.5,
        "thickness_max_mm": 0.7,
        "opening_mm": 83.0,
        "quantity": 2,
        "for": "J-3",
    }
    assert (base["thickness_min_mm"], base["opening_mm"]) == (0.4, None)
    assert (kit["thickness_min_mm"], kit["thickness_max_mm"]) == (None, None)


def test_past_service_has_its_share_and_interval() -> None:
    """12 of 20 is 0.6; at most 0.81 is below the 0.95 asked."""
    (kept,) = restock_document(replace(RESTOCK, service=(SHORT,)), TODAY)["service"]
    assert kept == {
        "part": "H60",
        "supplier": "South",
        "lead_times": 20,
        "bridged": 12,
        "share": 0.6,
        "interval_95": [0.36, 0.81],
        "asked": 0.95,
        "falls_short": True,
    }


def test_what_else_was_counted_stands_in_the_document() -> None:
    document = restock_document(replace(RESTOCK, blocked=("J-9",), slower=("South is cheaper",)), TODAY)
    assert document["status"] == Status.PROVEN.value
    assert (document["today"], document["review_days"]) == ("2027-02-01", 7)
    assert (document["blocked"], document["slower"]) == (["J-9"], ["South is cheaper"])
