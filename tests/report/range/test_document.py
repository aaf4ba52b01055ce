"""A range to keep as a JSON document: names with their units, money in whole cents, shares 0 to 1."""

from __future__ import annotations

import json

import pytest
from msgspec.structs import replace

from stackopt.choose.choice_records import Status
from stackopt.report.range.document import range_document
from stackopt.stocking.range.range_records import Proof
from tests.report import answers
from tests.report.range.valued import ANSWER


def test_the_engines_to_come_stand_with_how_they_were_drawn() -> None:
    """Weights of 3 and 1: 0.75 and 0.25. Nobody stated decks of C."""
    document = range_document(ANSWER, answers.TODAY)
    drawn = {"today": "2027-02-01", "budget_cents": 10000, "seed": 7, "scenarios": 40, "engines_a_scenario": 12}
    assert drawn.items() <= document.items()
    assert document["families"] == [
        {"family": "A", "share": 0.75, "patterns": 2, "deck_mean_mm": -0.3, "deck_spread_mm": 0.04},
        {"family": "C", "share": 0.25, "patterns": 1, "deck_mean_mm": None, "deck_spread_mm": None},
    ]


def test_each_part_says_what_is_kept_bought_and_sold_off() -> None:
    """Two packs of 2 at 4.50 a piece are 1800 cents; none of the four H60 is kept."""
    bought, idle, _ = range_document(ANSWER, answers.TODAY)["parts"]
    assert bought == {
        "part": "B40",
        "on_hand": 3,
        "keep": 7,
        "sell_off": 0,
        "packs": 2,
        "pack": 2,
        "supplier": "North",
        "buy_cents": 1800,
        "asked_a_scenario": 6.25,
    }
    assert (idle["sell_off"], idle["packs"], idle["buy_cents"], idle["supplier"]) == (4, 0, 0, "")


def test_the_ranges_and_the_curve_stand_with_their_intervals() -> None:
    """20 points for 50.00: from 69.50 to 119.50 0.1 more for 5000 cents, 0.2 for 10,000."""
    document = range_document(ANSWER, answers.TODAY)
    assert {name: each["tied_up_cents"] for name, each in document["ranges"].items()} == {
        "chosen": 6950,
        "today": 9000,
        "equal_numbers": 9900,
        "commonest_first": 9950,
    }
    assert document["ranges"]["today"] == {
        "tied_up_cents": 9000,
        "share_built": 0.65,
        "half_width_95": pytest.approx(0.025),
        "interval_95": [pytest.approx(0.625), pytest.approx(0.675)],
    }
    assert [point["tied_up_cents"] for point in document["curve"]] == [5000, 6950, 11950]
    assert document["share_more_per_100"] == pytest.approx(0.2)
    assert document["share_reachable"] == 0.95


def test_what_is_not_known_is_null() -> None:
    document = range_document(replace(ANSWER, curve=ANSWER.curve[:2]), answers.TODAY)
    assert (document["share_more_per_100"], document["gap_limit_95"]) == (None, None)
    json.dumps(document, allow_nan=False)


def test_the_proof_stands_with_its_bound_and_its_gap() -> None:
    proof = Proof(Status.BEST_FOUND, 0.82, 0.87, 0.031, 6)
    document = range_document(replace(ANSWER, proof=proof), answers.TODAY)
    assert document["status"] == Status.BEST_FOUND.value
    assert document["chosen_by"] == {"share_built": 0.82, "bound": 0.87}
    assert (document["gap_limit_95"], document["gap_batches"]) == (0.031, 6)
