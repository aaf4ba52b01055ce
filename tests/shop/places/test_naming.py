"""Naming branches: the first is where all lies already, and a shop that names none is a shop of one."""

from __future__ import annotations

import pytest

from stackopt.choose.choice_records import Use
from stackopt.problems import InputError
from stackopt.shop.ledger import Ledger
from stackopt.shop.places.naming import NamedBranch
from tests.shop.places.two import MAIN, OTHER, held, hold_from_other, on_hand, send_all, two_branches
from tests.shop.situations import ANA, BEN, HEAD, SHOP, THIN, asked, choice_of, fitted, twin


def test_all_that_the_ledger_has_lies_at_the_branch_that_is_named_first(ledger: Ledger) -> None:
    ledger.load(SHOP, ANA)
    assert ledger.name_branch(NamedBranch(MAIN), ANA)
    assert on_hand(ledger, "HG-050") == {MAIN: 6}
    assert ledger.supply(at=MAIN).stock == ledger.supply().stock


def test_days_are_said_both_ways_or_from_one_alone(ledger: Ledger) -> None:
    two_branches(ledger)
    assert not ledger.name_branch(NamedBranch(OTHER, days_to={MAIN: 5}), ANA)
    branches = ledger.branches()
    assert branches.names == (MAIN, OTHER)
    assert (branches.days_between(OTHER, ""), branches.days_between("", OTHER)) == (5, 2)
    assert branches.days_between("", "") == 0


@pytest.mark.parametrize(
    ("said", "expected"),
    [
        (NamedBranch(""), "a name of 1 to 60 letters"),
        (NamedBranch(" Nordkai"), "a name of 1 to 60 letters"),
        (NamedBranch("a\nb"), "a name of 1 to 60 letters"),
        (NamedBranch("x" * 61), "a name of 1 to 60 letters"),
        (NamedBranch("NORDKAI"), "Nordkai is a branch, and names differ by more"),
        (NamedBranch(OTHER), "the days to another"),
        (NamedBranch(OTHER, {"Hafen": 1}), "a branch of the shop: Mill Street, Nordkai"),
        (NamedBranch(OTHER, {OTHER: 1}), "from one to itself nothing is transferred"),
    ],
)
def test_a_name_that_is_none_and_days_to_nowhere_are_refused(ledger: Ledger, said: NamedBranch, expected: str) -> None:
    two_branches(ledger)
    events = ledger.events(1)
    with pytest.raises(InputError, match=expected):
        ledger.name_branch(said, ANA)
    assert ledger.events(1) == events


def test_a_branch_where_something_lies_is_not_taken_back(ledger: Ledger) -> None:
    two_branches(ledger)
    with pytest.raises(InputError, match="2 of BG-040 lie there"):
        ledger.undo(3, ANA)
    ledger.undo(4, ANA)
    ledger.undo(3, ANA)
    assert ledger.branches().names == (MAIN,)


def test_a_branch_where_an_engine_is_built_is_not_taken_back(ledger: Ledger) -> None:
    """Nothing lies at Nordkai, but N-1 is built there of pieces of Mill Street; once it is released, it may end."""
    two_branches(ledger)
    ledger.undo(4, ANA)
    use = (Use("BG-040", f"branch {MAIN}", 2), Use("HG-050", f"branch {MAIN}", 2))
    ledger.hold_all(asked(twin("N-1")), choice_of(fitted("N-1", THIN, HEAD), use=use), ANA, at=OTHER)
    with pytest.raises(InputError, match="N-1 is built there"):
        ledger.undo(3, ANA)
    ledger.release("N-1", ANA)
    ledger.undo(3, ANA)
    assert ledger.built_at("N-1") == ""
    assert [engine.name for engine in ledger.engines()] == ["N-1"]


def test_the_main_branch_stays_while_others_are_named(ledger: Ledger) -> None:
    two_branches(ledger)
    ledger.undo(4, ANA)
    with pytest.raises(InputError, match="no main branch any more"):
        ledger.undo(2, ANA)


def test_a_shop_without_branches_knows_no_branch_by_name(ledger: Ledger) -> None:
    ledger.load(SHOP, ANA)
    with pytest.raises(InputError, match="none is named"):
        ledger.count({"HG-050": 1}, ANA, "Nordkai")
    assert ledger.branches().names == ()
    assert ledger.due_transfers() == ()


def test_a_branch_that_is_renamed_keeps_all_that_lies_is_held_and_is_under_way_there(ledger: Ledger) -> None:
    """A further branch may take the name that is free then: it is another place."""
    two_branches(ledger)
    hold_from_other(ledger, "J-104")
    ledger.rename_branch(OTHER, "Seaside", BEN)
    ledger.rename_branch(MAIN, "High Street", BEN)
    assert ledger.branches().names == ("High Street", "Seaside")
    assert on_hand(ledger, "HG-050") == {"High Street": 6, "Seaside": 3}
    assert held(ledger, "HG-050") == {"Seaside": 2}
    sent = send_all(ledger, "Seaside", "High Street")
    assert sent.promised == {("J-104", "HG-050"): 2}
    ledger.name_branch(NamedBranch(OTHER, {"Seaside": 1}), ANA)
    ledger.count({"HG-050": 5}, ANA, OTHER)
    assert on_hand(ledger, "HG-050") == {"High Street": 6, "Seaside": 1, OTHER: 5}
    assert {each.branch for each in ledger.history("HG-050")} == {"High Street", "Seaside", OTHER, ""}
    with pytest.raises(InputError, match="Nordkai is a branch, and names differ"):
        ledger.rename_branch("Seaside", OTHER, ANA)
    assert ledger.verify().damage == ()
