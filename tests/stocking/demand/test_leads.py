"""How late deliveries are, against a worked example and by hand."""

from __future__ import annotations

import pytest

from stackopt.stocking.demand.leads import Delivery, late_chances, lateness


def delivery(late_days: int, *, arrived: bool = True, supplier: str = "Varnik") -> Delivery:
    return Delivery(supplier, "P", 10, 10 + late_days, arrived)


def test_lateness_is_the_estimate_of_kaplan_and_meier() -> None:
    """The remission times of 21 patients that textbooks print: 6 6 6 6+ 7 9+ 10 10+ 11+ 13 16 17+ 19+ 20+ 22 23 25+ …

    Printed survival (Freireich et al. 1963, in Cox & Oakes, Analysis of Survival Data, 1984; from memory): 0.857 after
    6, 0.807 after 7, 0.753 after 10, 0.690 after 13, 0.627 after 16, 0.538 after 22, 0.448 after 23.
    """
    whole = [6, 6, 6, 7, 10, 13, 16, 22, 23]
    cut = [6, 9, 10, 11, 17, 19, 20, 25, 32, 32, 34, 35]
    deliveries = [delivery(days) for days in whole] + [delivery(days, arrived=False) for days in cut]
    chances = late_chances(deliveries).chances
    left, printed = 1.0, {6: 0.857, 7: 0.807, 10: 0.753, 13: 0.690, 16: 0.627, 22: 0.538, 23: 0.448}
    for day, survival in printed.items():
        left -= chances[day]
        assert left == pytest.approx(survival, abs=0.0005)
    assert sum(chances.values()) == pytest.approx(1.0)


def test_one_in_four_late_is_told_as_such() -> None:
    found = lateness([delivery(0), delivery(0), delivery(0), delivery(9)])["Varnik"]
    assert found.lead(10) == {10: 0.75, 19: 0.25}
    assert (found.deliveries, found.late) == (4, 1)


def test_an_order_that_is_not_due_yet_says_nothing_and_one_overdue_does() -> None:
    """Three in time and one 5 days over, still open: a quarter is at least 5 days late."""
    early = delivery(-4, arrived=False)
    found = lateness([delivery(0), delivery(0), delivery(0), early, delivery(5, arrived=False)])["Varnik"]
    assert found.chances == {0: 0.75, 5: 0.25}


def test_few_deliveries_say_nothing() -> None:
    assert lateness([delivery(0), delivery(9), delivery(9)]) == {}
