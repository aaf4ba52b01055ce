"""What an order can wait for, what its fillers are of use for, and what work costs."""

from __future__ import annotations

from datetime import date

import pytest
from msgspec.structs import replace

from stackopt.choose.choice_records import Joining, PassResult, Useful, Work
from stackopt.engine.levers.lever import Lever
from stackopt.report.answer.fitted import work_price
from stackopt.report.answer.orders import joining_words, order_tables
from stackopt.report.answer.page import terminal
from stackopt.report.answer.proof import WORDINGS, proof_table, untold_section
from stackopt.report.layout import captured_text
from tests.report.answers import CHOICE, ORDER, TODAY

LATER = Joining(date(2027, 2, 10), "H60", 900)
CUT = Work(Lever.DECK_CUT, 0.1, 4500)


def words(section) -> str:
    return " ".join(captured_text(terminal(colour=False), [section]).split())


def test_an_order_that_can_go_with_one_for_the_shelf_says_the_day_and_the_least_saving() -> None:
    """10 February 2027 is a Wednesday."""
    assert list(joining_words(ORDER, TODAY)) == []
    (later,) = joining_words(replace(ORDER, joining=LATER), TODAY)
    assert later == (
        "Order together on Wednesday 10 Feb 2027, 9.00 less, nobody late: by then H60 is due for the shelf, "
        "as it is used"
    )
    (now,) = joining_words(replace(ORDER, joining=replace(LATER, day=TODAY)), TODAY)
    assert now == "Order together with H60 for the shelf, which is due today: 9.00 less than apart"


@pytest.mark.parametrize(
    ("useful", "said"),
    [
        (Useful(wanted=2, used_a_year=8.0), "H32: 1 pack for no engine, to be reordered anyway, so that"),
        (Useful(used_a_year=2.5), "H32: 1 pack for no engine, used 2.5 a year, so that"),
        (Useful(), "H32: 1 pack for no engine, so that"),
    ],
)
def test_a_filler_says_of_what_use_it_is(useful: Useful, said: str) -> None:
    line = replace(ORDER.lines[0], packs=2, engines=("J-1",), filler_packs=1, useful=useful)
    assert said in words(order_tables((replace(ORDER, lines=(line,)),), TODAY))


def test_three_orders_are_summed() -> None:
    """Three times 47.00 are 141.00."""
    assert "All 3 orders together: 141.00" in words(order_tables((ORDER, ORDER, ORDER), TODAY))


@pytest.mark.parametrize(
    ("work", "said"),
    [
        (CUT, "45.00"),
        (replace(CUT, price_cents=None), "no book states its price"),
        (replace(CUT, per_engine=True), "45.00; for all cylinders together"),
        (replace(CUT, shared=True), "45.00; goes across all cylinders, paid once"),
        (replace(CUT, shared=True, price_cents=0), "paid once for all cylinders"),
        (replace(CUT, per_engine=True, price_cents=0), "paid once for all cylinders"),
        (replace(CUT, price_cents=0), "0.00"),
    ],
)
def test_work_says_its_price_and_for_how_many_cylinders_it_is(work: Work, said: str) -> None:
    assert work_price(work) == said


@pytest.mark.parametrize(
    ("objective", "value", "written"),
    [
        ("blocked", 2.0, "2"),
        ("spend", 4700.4, "47.00"),
        ("closeness", 0.33384, "0.334"),
    ],
)
def test_each_objective_is_written_in_its_own_unit(objective: str, value: float, written: str) -> None:
    assert WORDINGS[objective].write(value) == written


def test_days_and_metal_have_their_units() -> None:
    """Every objective of days says days, every one of metal mm, whatever its name."""
    written = {wording.write(1.0) for wording in WORDINGS.values()}
    assert {"1 day", "1.000 mm"} <= written
    assert "3 days" in {wording.write(3.0) for wording in WORDINGS.values()}


def test_what_there_was_no_time_for_is_named() -> None:
    assert words(untold_section(("the next best of J-1",))) == "Not looked for, as time was over the next best of J-1"
    assert untold_section(()) == []


def test_the_note_on_distance_stands_only_where_distance_counted() -> None:
    assert "half the width of a window counts 1" in words(proof_table(CHOICE))
    without = replace(CHOICE, passes=(PassResult("blocked", 0, 0, 0.0), PassResult("spend", 0, 0, 0.0)))
    assert "half the width" not in words(proof_table(without))
