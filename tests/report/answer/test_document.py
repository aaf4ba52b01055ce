"""The JSON document has the contract's shape; what it holds is plain and whole."""

from __future__ import annotations

import json
import math

from msgspec.structs import replace

from stackopt.report.answer.document import answer_document
from tests.report import answers


def test_a_solved_answer_has_the_shape_of_the_contract() -> None:
    document = answer_document(answers.SOLVED)
    assert document["status"] == "proven"
    assert document["passes"][:3] == [
        {"objective": "blocked", "value": 0, "bound": 0, "gap": 0, "seconds": 0.01},
        {"objective": "special-orders", "value": 0, "bound": 0, "gap": 0, "seconds": 0.01},
        {"objective": "spend", "value": 4700, "bound": 4700, "gap": 0, "seconds": 0.02},
    ]
    (engine,) = document["engines"]
    assert (engine["engine"], engine["blocked"], engine["reasons"]) == ("J-1", False, [])
    front = engine["cylinders"][0]
    assert {key: front[key] for key in ("cylinder", "quench_mm", "compression_ratio", "chance_in_window")} == {
        "cylinder": "front",
        "quench_mm": 0.9128,
        "compression_ratio": 9.47,
        "chance_in_window": 0.974,
    }
    assert [(piece["part"], piece["role"]) for piece in front["pieces"]] == [
        ("B40", "base gasket"),
        ("H32", "head gasket"),
    ]
    assert document["use"] == [
        {"part": "B40", "from": "shelf", "quantity": 2},
        {"part": "H32", "from": "North", "quantity": 2},
    ]


def test_spend_is_lines_and_freight_in_whole_cents() -> None:
    document = answer_document(answers.SOLVED)
    (order,) = document["orders"]
    assert (order["supplier"], order["freight_cents"]) == ("North", 900)
    line = {key: order["lines"][0][key] for key in ("part", "packs", "pack", "line_cents", "special_order")}
    assert line == {"part": "H32", "packs": 1, "pack": 2, "line_cents": 3800, "special_order": False}
    assert order["lines"][0]["here_on"] == "2027-02-07"
    assert document["spend_cents"] == 3800 + 900


def test_a_blocked_engine_keeps_its_place_with_reasons_and_no_cylinders() -> None:
    (engine,) = answer_document(answers.BLOCKED)["engines"]
    assert (engine["blocked"], engine["cylinders"], engine["reasons"]) == (True, [], ["rear: nothing fits."])
    (stuck,) = engine["would_free"]
    assert stuck["head_gaskets"][0]["listed"] == [{"part": "H60", "suppliers": ["South"]}]
    assert stuck["deck_cut"]["cut_mm"] == 0.14


def test_the_next_best_stands_with_its_engine() -> None:
    (other,) = answer_document(answers.SOLVED)["engines"][0]["alternatives"]
    assert (other["lost_on"], other["lost_by"]) == ("spend", 1100)


def test_an_open_end_is_null_as_json_has_no_infinity() -> None:
    row = replace(answers.STUCK.would_do[0], thickness_mm=(0.2, math.inf))
    stuck = replace(answers.STUCK, would_do=(row,), deck_cut=None)
    document = answer_document(replace(answers.BLOCKED, blocked={"J-1": (stuck,)}))
    json.dumps(document, allow_nan=False)
    assert document["engines"][0]["would_free"][0]["head_gaskets"][0]["thickness_max_mm"] is None


def test_every_number_is_plain() -> None:
    text = json.dumps(answer_document(answers.SOLVED), allow_nan=False)
    assert json.loads(text) == answer_document(answers.SOLVED)
