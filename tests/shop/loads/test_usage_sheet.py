"""Usage sheets in the ledger: stored once, by part and day, and beside what the ledger itself took."""

from __future__ import annotations

from datetime import UTC, date, datetime

from stackopt.parts.part_records import Supply, Usage
from stackopt.shop.ledger import Ledger
from tests.shop.situations import ANA, BEN, SHOP, from_shelf

MAY, JUNE = date(2026, 5, 4), date(2026, 6, 8)
SHEET = (Usage("BG-040", MAY, 1), Usage("BG-040", JUNE, 2), Usage("BG-040", JUNE, 1))


def test_a_usage_sheet_is_stored_once_and_told_by_day(ledger: Ledger) -> None:
    """Two rows of one day are one day: 2 + 1 = 3."""
    (told,) = ledger.load(Supply(), ANA, used=SHEET)
    assert str(told) == "usage BG-040: 2026-05-04 none -> 1, 2026-06-08 none -> 3"
    assert ledger.usage() == (Usage("BG-040", MAY, 1), Usage("BG-040", JUNE, 3))
    assert ledger.load(Supply(), ANA, used=SHEET) == ()
    assert ledger.usage() == (Usage("BG-040", MAY, 1), Usage("BG-040", JUNE, 3))


def test_a_longer_sheet_adds_its_new_days_and_a_mended_one_replaces_what_it_said(ledger: Ledger) -> None:
    ledger.load(Supply(), ANA, used=SHEET)
    more = [Usage("BG-040", MAY, 2), *SHEET[1:], Usage("BG-040", date(2026, 7, 1), 1)]
    (told,) = ledger.load(Supply(), ANA, used=more)
    assert str(told) == "usage BG-040: 2026-05-04 1 -> 2, 2026-07-01 none -> 1"
    assert [each.quantity for each in ledger.usage()] == [2, 3, 1]
    ledger.undo(ledger.events(1)[0].number, BEN)
    assert [each.quantity for each in ledger.usage()] == [1, 3]


def test_another_sheet_adds_its_own_days_and_does_not_change_what_was_told(ledger: Ledger) -> None:
    """It has no row for June: 2 on the fourth of May is not what the first sheet says, and only the user knows why."""
    ledger.load(Supply(), ANA, used=SHEET)
    counter = [Usage("BG-040", MAY, 2), Usage("BG-040", date(2026, 7, 1), 1), Usage("HG-050", MAY, 1)]
    told = ledger.differences(Supply(), (), None, counter)
    assert {(each.part, *each.after): each.is_older for each in told} == {
        ("BG-040", "2026-05-04"): True,
        ("BG-040", "2026-07-01"): False,
        ("HG-050", "2026-05-04"): False,
    }
    assert "another sheet told these days" in str(next(each for each in told if each.is_older))
    ledger.load(Supply(), ANA, (), [each for each in told if not each.is_older], used=counter)
    pieces = [(each.part, each.quantity) for each in ledger.usage() if each.day == MAY]
    assert sorted(pieces) == [("BG-040", 1), ("HG-050", 1)]


def test_many_days_are_told_in_one_line(ledger: Ledger) -> None:
    year = [Usage("BG-040", date(2026, month, 1), 2) for month in range(1, 13)]
    (told,) = ledger.load(Supply(), ANA, used=year)
    assert str(told) == "usage BG-040: 12 days from 2026-01-01 to 2026-12-01, 24 pieces"


def test_what_the_ledger_took_on_a_day_is_among_what_a_sheet_tells_of_that_day(ledger: Ledger) -> None:
    """The engine took 2 of each today; the sheet says 5 and 1: 5 and 2 left the shelf."""
    ledger.load(SHOP, ANA)
    ledger.hold(*from_shelf("J-104"), ANA)
    ledger.use("J-104", ANA)
    today = datetime.now(UTC).date()
    ledger.load(Supply(), ANA, used=[Usage("BG-040", today, 5), Usage("HG-050", today, 1)])
    pieces = {part: sum(each.quantity for each in ledger.usage() if each.part == part) for part in ("BG-040", "HG-050")}
    assert pieces == {"BG-040": 5, "HG-050": 2}
