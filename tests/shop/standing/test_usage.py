"""What counts as demand where pieces come back, on whatever day."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from datetime import UTC, date, datetime
from unittest.mock import patch

import pytest

from stackopt.parts.part_records import Usage
from stackopt.shop.database import transactions
from stackopt.shop.ledger import Ledger
from tests.shop.situations import ANA, SHOP, from_shelf


@contextmanager
def on(day: int) -> Iterator[None]:
    """Let commands be carried out on a day of January 2027."""
    with patch.object(transactions, "datetime") as clock:
        clock.now.return_value = datetime(2027, 1, day, 10, tzinfo=UTC)
        yield


@pytest.fixture
def used(ledger: Ledger) -> Ledger:
    """A ledger in which J-104 took two of each on the 4th."""
    with on(4):
        ledger.load(SHOP, ANA)
        ledger.hold(*from_shelf("J-104"), ANA)
        ledger.use("J-104", ANA)
    return ledger


def of_thin(ledger: Ledger) -> list[Usage]:
    return [each for each in ledger.usage() if each.part == "BG-040"]


def test_a_use_undone_on_another_day_is_no_demand_and_done_again_it_is_that_of_its_own_day(used: Ledger) -> None:
    for day in (6, 8, 9):
        with on(day):
            used.undo(used.events(1)[0].number, ANA)
        expected = [] if day != 8 else [Usage("BG-040", date(2027, 1, 4), 2)]
        assert of_thin(used) == expected


def test_what_comes_back_on_another_day_was_not_demanded(used: Ledger) -> None:
    with on(7):
        used.bring_back("J-104", {"BG-040": 1}, ANA)
    assert of_thin(used) == [Usage("BG-040", date(2027, 1, 4), 1)]
