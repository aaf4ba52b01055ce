"""What is printed of a restock: what to order and why, what waits, what to ask about, and what lies idle."""

from __future__ import annotations

from datetime import date

import pytest
from msgspec.structs import replace
from rich.console import Console

from stackopt.choose.choice_records import Status
from stackopt.report.reorder.page import restock_text
from stackopt.report.reorder.words import runs_out_words
from stackopt.stocking.reorder.restock_records import Restock
from tests.report.answers import TODAY
from tests.report.reorder.proposed import (
    ASKS,
    DROPPED,
    FALLING,
    IDLE,
    KEPT,
    LACKED,
    RESTOCK,
    SHORT,
    WAITING,
)

NOTHING = replace(RESTOCK, parts=(), orders=())
REVIEWED = "Counted as if somebody looks at the shelf every 7 days; say how often your shop does: --review-days DAYS."


def lines(restock: Restock, **how: bool) -> list[str]:
    text = restock_text(Console(width=200, highlight=False), restock, TODAY, **how)
    return [" ".join(line.split()) for line in text.splitlines()]


def following(restock: Restock, head: str, count: int) -> list[str]:
    """Return so many lines after a heading and the two lines of its table's head."""
    said = lines(restock)
    first = said.index(head) + 3
    return said[first : first + count]


def test_what_to_order_stands_first_with_the_day_and_both_reasons() -> None:
    assert lines(RESTOCK)[0] == "To order, what runs out first before the others"
    assert following(RESTOCK, "To order, what runs out first before the others", 4) == [
        "H32 4 now: J-1, J-2 wait 2 engines lack it",
        "B40 4 20 Feb 2027 3 are left",
        "why 4: packs of 2",
        "",
    ]


def test_the_orders_follow_with_what_is_paid() -> None:
    """Three packs of 38.00 and 9.00 of freight are 123.00; six days after 1 February is the 7th."""
    said = lines(RESTOCK)
    assert "H32 N 32 2 4 38.00 76.00 7 Feb 2027" in said
    assert "to pay 123.00" in said


@pytest.mark.parametrize(
    ("line", "words"),
    [
        (LACKED, "now: J-1, J-2 wait"),
        (replace(LACKED, engines=("J-1",)), "now: J-1 waits"),
        (FALLING, "20 Feb 2027"),
        (replace(FALLING, runs_out=TODAY), "now"),
        (replace(FALLING, runs_out=date(2027, 1, 30)), "now"),
        (replace(FALLING, runs_out=date(2027, 2, 2)), "2 Feb 2027"),
        (replace(FALLING, runs_out=None), ""),
    ],
)
def test_a_part_runs_out_now_where_it_is_lacked_or_its_day_has_come(line, words: str) -> None:
    assert runs_out_words(line, TODAY) == words


def test_nothing_due_is_said_and_nothing_else() -> None:
    assert lines(NOTHING) == [
        "Nothing to order: no part is due, and no open engine lacks any",
        "",
        "No other orders cost less, freight, own work and keeping included: proven.",
    ]


@pytest.mark.parametrize(("names", "count"), [(("J-9",), "1 open engine"), (("J-8", "J-9"), "2 open engines")])
def test_engines_that_nothing_finishes_stand_above_all_else(names: tuple[str, ...], count: str) -> None:
    assert lines(replace(RESTOCK, blocked=names))[0] == f"{count} cannot be finished: {', '.join(names)}"


def test_what_is_due_but_left_for_another_day_says_why() -> None:
    head = "Due, but left for another day"
    assert following(replace(NOTHING, parts=(WAITING,)), head, 1) == ["B50 3 an order next week is cheaper"]
    unbought = replace(WAITING, order_quantity=0)
    assert following(replace(NOTHING, parts=(unbought,)), head, 1) == ["B50 an order next week is cheaper"]


def test_what_is_cheaper_but_too_late_stands_as_it_was_said() -> None:
    said = lines(replace(RESTOCK, slower=("H32 from South: 8.00 less, here 9 days later",)))
    first = said.index("Less money, but too late")
    assert said[first + 1] == "H32 from South: 8.00 less, here 9 days later"


def test_what_to_ask_about_says_what_would_do_and_for_whom() -> None:
    """A range with one end is one thickness; a base gasket has no opening, a kit no thickness."""
    assert following(replace(RESTOCK, asks=ASKS), "To ask about", 6) == [
        "2 head gasket A, C J-3",
        "0.50 mm to 0.70 mm",
        "opening 83.0 mm",
        "1 base gasket any the shelf",
        "0.40 mm",
        "1 kit A the shelf",
    ]


def test_past_service_tells_which_part_fell_short_first() -> None:
    head = "How often the shelf lasted until an order came: 1 part less often than asked, and that is more than chance"
    assert following(replace(RESTOCK, service=(KEPT, SHORT)), head, 2) == [
        "H60 South 12 of 20 36 to 81 % 95 % keep more",
        "B40 North 8 of 8 63 to 100 % 95 %",
    ]


def test_past_service_as_asked_is_said_with_its_doubt() -> None:
    head = "How often the shelf lasted until an order came: as often as was asked, as far as these orders tell"
    assert following(replace(RESTOCK, service=(KEPT,)), head, 1) == ["B40 North 8 of 8 63 to 100 % 95 %"]


def test_dead_stock_is_summed_the_dearest_first_with_the_reasons() -> None:
    """32.80 of H60 and 12.00 of H91 are 44.80; nobody knows what H90 is worth."""
    also = replace(DROPPED, part="H91", idle_pieces=1, idle_cents=1200, idle_rule="nobody asks for it")
    assert following(replace(NOTHING, parts=(DROPPED, also, IDLE)), "Dead stock: 44.80 lie idle", 3) == [
        "H60 2 32.80 2 would do",
        "H91 1 12.00 not used for 3 years, nobody asks for it",
        "H90 not used for 3 years",
    ]


def test_dead_stock_without_a_known_worth_has_no_sum() -> None:
    assert following(replace(NOTHING, parts=(DROPPED,)), "Dead stock", 1) == ["H90 not used for 3 years"]


def test_what_is_not_proven_says_how_much_dearer_it_can_be() -> None:
    """124.00 found, 119.50 proven: 4.50."""
    found = replace(RESTOCK, status=Status.BEST_FOUND, bound_cents=11950.0)
    said = "Best found: at most 4.50 dearer than the best possible, freight, own work and keeping included."
    assert lines(found)[-1] == said


def test_days_between_two_checks_are_asked_for_only_where_they_counted_and_nobody_stated_them() -> None:
    assert lines(RESTOCK, review_stated=False)[-1] == REVIEWED
    assert REVIEWED not in lines(RESTOCK)
    unknown = replace(RESTOCK, parts=(replace(LACKED, model=""), FALLING))
    assert REVIEWED not in lines(unknown, review_stated=False)
