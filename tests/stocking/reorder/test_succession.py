"""Old numbers and the new ones they became; invented numbers."""

from __future__ import annotations

from datetime import date

from stackopt.parts.part_records import Offer, PriceTier, Supply, Usage
from stackopt.stocking.reorder.restock_records import Buy, Need
from stackopt.stocking.reorder.succession import (
    needs_under_newest,
    newest_numbers,
    pieces_under_newest,
    usage_under_newest,
)


def sold(part: str, **terms: object) -> Offer:
    return Offer("South", part, (PriceTier(1, 900),), **terms)


def newest(*offers: Offer) -> dict[str, str]:
    return newest_numbers(Supply({}, {}, offers, {}))


def test_numbers_are_followed_to_the_end() -> None:
    assert newest(sold("A", superseded_by="B"), sold("B", superseded_by="C")) == {"A": "C", "B": "C"}


def test_a_number_that_somebody_still_sells_stays() -> None:
    assert newest(sold("A", superseded_by="B"), sold("A")) == {}


def test_a_discontinued_line_does_not_count_as_sold() -> None:
    """One supplier names the new number, another only says that the old one is not made any more."""
    assert newest(sold("A", superseded_by="B"), sold("A", discontinued=True)) == {"A": "B"}


def test_the_way_ends_at_a_number_that_is_sold() -> None:
    assert newest(sold("A", superseded_by="B"), sold("B", superseded_by="C"), sold("B")) == {"A": "B"}


def test_a_circle_ends_where_it_closes() -> None:
    assert newest(sold("A", superseded_by="B"), sold("B", superseded_by="A")) == {"A": "A", "B": "B"}


def test_what_left_and_lies_here_under_old_numbers_counts_for_the_new_one() -> None:
    day = date(2026, 3, 2)
    assert usage_under_newest([Usage("A", day, 2), Usage("C", day, 1)], {"A": "B"}) == [
        Usage("B", day, 2),
        Usage("C", day, 1),
    ]
    assert pieces_under_newest({"A": 2, "B": 3, "C": 1}, {"A": "B"}) == {"B": 5, "C": 1}


def test_needs_add_up_with_their_engines_once_and_the_nearest_day_first() -> None:
    """2 and 1 pieces; both for J-1, J-2 for the new number alone; one piece of each comes out of a kit."""
    needs = {
        "A": Need(2, ("J-1",), from_kits=1, buys=(Buy(2, 30, False),)),
        "B": Need(1, ("J-1", "J-2"), from_kits=1, buys=(Buy(1, 10, False),)),
    }
    assert needs_under_newest(needs, {"A": "B"}) == {
        "B": Need(3, ("J-1", "J-2"), from_kits=2, buys=(Buy(1, 10, False), Buy(2, 30, False)))
    }
