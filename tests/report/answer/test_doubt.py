"""What is known of the doubt in a cylinder's figures, line by line; and what is not known is said to be not known."""

from __future__ import annotations

import pytest
from msgspec.structs import replace

from stackopt.choose.doubt.budget import Budget, DoubtShare, Help
from stackopt.choose.doubt.intervals import Interval
from stackopt.report.answer.spread_rows import chance_row, doubt_rows, interval_rows
from tests.report.answers import CYLINDERS, FITTED

FRONT = FITTED.cylinders[0]
INTERVAL = Interval(0.0145, 0.8843, 0.9413, 0.8828, 0.9428)
NOTHING = Budget((), (), None)


def test_an_interval_has_its_unit_and_its_worst_case() -> None:
    assert list(interval_rows(INTERVAL, 3, " mm")) == [
        ("95 % within", "0.884 to 0.941 mm", "an estimate"),
        ("worst case", "0.883 to 0.943 mm", "every tolerance at its end"),
    ]
    assert next(interval_rows(INTERVAL, 2, ""))[1] == "0.88 to 0.94"
    assert list(interval_rows(None, 3, " mm")) == [("95 % within", "not known", "")]


@pytest.mark.parametrize(
    ("chance", "words"),
    [(0.974, "97 of 100"), (0.9999, "over 99 of 100"), (0.001, "under 1 of 100"), (0.0, "0 of 100")],
)
def test_a_chance_is_of_a_hundred_and_never_certain(chance: float, words: str) -> None:
    row = chance_row(CYLINDERS[0], replace(FRONT, chance_in_window=chance))
    assert row == ("chance", words, "quench in its window, an estimate")


def test_a_chance_that_nobody_knows_says_of_what() -> None:
    unknown = replace(FRONT, chance_in_window=None)
    assert chance_row(CYLINDERS[0], unknown) == ("chance", "not known", "quench in its window")
    without_band = replace(CYLINDERS[0], quench=None)
    assert chance_row(without_band, unknown) == ("chance", "not known", "ratio in its window")


def test_the_budget_names_the_largest_share_first_and_what_helps_most() -> None:
    budget = Budget(
        (DoubtShare("deck readings", 0.7), DoubtShare("head gasket", 0.2), DoubtShare("base gasket", 0.1)),
        (DoubtShare("chamber volume", 0.9), DoubtShare("deck readings", 0.1)),
        Help("measure the deck once more", 0.04, 0.0284),
    )
    assert list(doubt_rows(FRONT, budget)) == [
        ("quench doubt", "70% deck readings", "20% head gasket, 10% base gasket"),
        ("ratio doubt", "90% chamber volume", "10% deck readings"),
        ("helps most", "measure the deck once more", "± 0.040 mm, then ± 0.028 mm"),
    ]


def test_a_single_cause_needs_no_line_and_what_is_left_out_is_named() -> None:
    only = Budget((DoubtShare("deck readings", 1.0),), (), None)
    assert list(doubt_rows(FRONT, only)) == []
    left_out = replace(FRONT, left_out=("chamber volume", "band recess"))
    assert list(doubt_rows(left_out, NOTHING)) == [("left out", "", "chamber volume, band recess")]
