"""One part in several bins of a branch: how many lie in which is known, and stays so whoever takes, counts or loads."""

from __future__ import annotations

from collections.abc import Callable

import pytest
from msgspec.structs import replace

from stackopt.parts.part_records import InBin, StockLine, Supply
from stackopt.problems import InputError
from stackopt.shop.ledger import Ledger
from stackopt.shop.places.between_bins import Moved
from tests.shop.places.two import OTHER, two_branches
from tests.shop.situations import ANA, BEN, PARTS

HEAPS = (InBin("A1", 4), InBin("R7", 3))
TWO_HEAPS = Supply(PARTS, {"BG-040": StockLine("BG-040", 7, bin="A1; R7", bins=HEAPS)})


def bins(ledger: Ledger, part: str = "BG-040", at: str = "") -> dict[str, int]:
    """Return how many lie in which bin; what lies in the list's alone is told by its name."""
    line = ledger.supply(at=at).stock[part]
    return {each.bin: each.on_hand for each in line.bins} or {line.bin: line.on_hand}


@pytest.fixture
def heaped(ledger: Ledger) -> Ledger:
    ledger.load(TWO_HEAPS, ANA)
    return ledger


def test_a_list_with_a_part_in_two_rows_says_how_many_lie_in_which_bin(heaped: Ledger) -> None:
    assert bins(heaped) == {"A1": 4, "R7": 3}
    assert heaped.differences(TWO_HEAPS) == ()


Step = Callable[[Ledger], object]
STEPS: tuple[tuple[str, Step, dict[str, int]], ...] = (
    ("carried to a third bin", lambda it: it.move(Moved("BG-040", 2, "R7", "S3"), BEN), {"A1": 4, "R7": 1, "S3": 2}),
    ("carried home: a bin that is empty is gone", lambda it: it.move(Moved("BG-040", 3, "R7", ""), BEN), {"A1": 7}),
    ("scrapped out of the list's bin", lambda it: it.scrap({"BG-040": 2}, BEN), {"A1": 2, "R7": 3}),
    ("more than lie there: the rest comes from the other", lambda it: it.scrap({"BG-040": 5}, BEN), {"R7": 2}),
    ("scrapped out of one bin", lambda it: it.scrap({"BG-040": 1}, BEN, in_bin="R7"), {"A1": 4, "R7": 2}),
    ("corrected in one bin", lambda it: it.correct("BG-040", 2, BEN, in_bin="R7"), {"A1": 4, "R7": 5}),
    ("one bin counted", lambda it: it.count({"BG-040": 1}, BEN, in_bin="R7"), {"A1": 4, "R7": 1}),
    ("all counted", lambda it: it.count({"BG-040": 5}, BEN), {"A1": 2, "R7": 3}),
    ("all counted, fewer than in the second", lambda it: it.count({"BG-040": 2}, BEN), {"R7": 2}),
    ("put away in one bin", lambda it: it.bring_in({"BG-040": 3}, BEN, in_bin="S3"), {"A1": 4, "R7": 3, "S3": 3}),
    ("put away where the list says", lambda it: it.bring_in({"BG-040": 3}, BEN), {"A1": 7, "R7": 3}),
)


@pytest.mark.parametrize(("step", "expected"), [pytest.param(*rest, id=name) for name, *rest in STEPS])
def test_what_is_done_moves_the_pieces_of_its_bins_and_is_undone_with_them(
    heaped: Ledger, step: Step, expected: dict[str, int]
) -> None:
    step(heaped)
    assert bins(heaped) == expected
    assert heaped.balances()["BG-040"].on_hand == sum(expected.values())
    last = heaped.last_standing()
    assert last is not None
    heaped.undo(last, BEN)
    assert bins(heaped) == {"A1": 4, "R7": 3}
    assert heaped.verify().damage == ()


def test_undoing_an_older_count_does_not_change_what_was_counted_of_one_bin_since(heaped: Ledger) -> None:
    heaped.count({"BG-040": 6}, BEN)
    before = heaped.last_standing()
    heaped.count({"BG-040": 1}, ANA, in_bin="R7")
    assert before is not None
    heaped.undo(before, ANA)
    assert bins(heaped) == {"A1": 4, "R7": 1}


@pytest.mark.parametrize(
    ("step", "words"),
    [
        (lambda it: it.move(Moved("BG-040", 5, "", "R7"), BEN), "found '4 in A1, 3 in R7', expected 5 in A1"),
        (lambda it: it.move(Moved("BG-040", 1, "A1", ""), BEN), "from A1 to itself"),
        (lambda it: it.scrap({"BG-040": 4}, BEN, in_bin="R7"), "expected 4 in R7"),
        (lambda it: it.correct("BG-040", -1, BEN, in_bin="Q2"), "expected 1 in Q2"),
        (lambda it: it.bring_in({"BG-040": 1}, BEN, in_bin="r7"), "R7 is one, and differs in its capitals alone"),
        (lambda it: it.count({"BG-040": 1}, BEN, in_bin=" R7"), "without spaces before or after it"),
    ],
)
def test_what_does_not_lie_in_a_bin_is_not_taken_out_of_it(heaped: Ledger, step: Step, words: str) -> None:
    with pytest.raises(InputError, match=words):
        step(heaped)
    assert bins(heaped) == {"A1": 4, "R7": 3}


def test_an_older_list_does_not_carry_pieces_back(heaped: Ledger) -> None:
    """They were carried since; a list that says other bins again was written later."""
    heaped.move(Moved("BG-040", 3, "R7", "S3"), BEN)
    (older,) = heaped.differences(TWO_HEAPS)
    assert older.is_older
    assert "carried between bins, 4 in A1, 3 in S3 by now" in str(older)
    line = TWO_HEAPS.stock["BG-040"]
    newer = replace(TWO_HEAPS, stock={"BG-040": replace(line, bins=(InBin("A1", 5), InBin("S3", 2)))})
    (difference,) = heaped.differences(newer)
    assert not difference.is_older
    heaped.load(newer, BEN)
    assert bins(heaped) == {"A1": 5, "S3": 2}


def test_an_older_list_is_known_by_its_bins_though_all_lie_in_one_by_now(heaped: Ledger) -> None:
    """A list with a number that once lay there is no older one where its bins are new."""
    heaped.move(Moved("BG-040", 3, "R7", ""), BEN)
    assert [each.is_older for each in heaped.differences(TWO_HEAPS)] == [True]
    heaped.bring_in({"BG-040": 2}, BEN)
    line = replace(TWO_HEAPS.stock["BG-040"], bins=(InBin("A1", 1), InBin("W4", 6)))
    assert [each.is_older for each in heaped.differences(replace(TWO_HEAPS, stock={"BG-040": line}))] == [False]


def test_an_older_list_of_a_ledger_that_knew_no_bins_stays_an_older_one(ledger: Ledger) -> None:
    ledger.load(Supply(PARTS, {"BG-040": StockLine("BG-040", 7, bin="A1; R7")}), ANA)
    ledger.scrap({"BG-040": 2}, BEN)
    assert [each.is_older for each in ledger.differences(TWO_HEAPS) if each.subject == "shelf"] == [True]


def test_a_list_that_has_the_part_in_one_row_says_nothing_of_its_bins(heaped: Ledger) -> None:
    heaped.load(Supply(PARTS, {"BG-040": StockLine("BG-040", 8, bin="A1")}), BEN)
    assert bins(heaped) == {"A1": 5, "R7": 3}


def test_each_branch_has_bins_of_its_own(ledger: Ledger) -> None:
    shop = two_branches(ledger)
    shop.move(Moved("HG-050", 2, "", "T1", OTHER), BEN)
    assert bins(shop, "HG-050", OTHER) == {"R9": 1, "T1": 2}
    assert shop.supply(at="").stock["HG-050"].bins == ()
    assert shop.heaps() == {("HG-050", OTHER): (InBin("R9", 1), InBin("T1", 2))}
