"""What a plan changes against a previous one."""

from __future__ import annotations

from stackopt.choose.why.changes import CylinderChange, changes
from tests.report import answers

SAME = {"front": ("B40", "H32"), "rear": ("H32", "B40")}


def test_the_same_pieces_in_another_order_are_no_change() -> None:
    assert changes({"J-1": SAME}, answers.CHOICE) == ()


def test_a_change_names_the_cylinder_and_both_sets_of_pieces() -> None:
    before = {"J-1": SAME | {"rear": ("B40", "H60")}}
    assert changes(before, answers.CHOICE) == (CylinderChange("J-1", "rear", ("B40", "H60"), ("B40", "H32")),)


def test_an_engine_that_is_blocked_now_loses_what_it_had() -> None:
    assert [change.now for change in changes({"J-1": SAME}, answers.NOTHING)] == [(), ()]


def test_an_engine_that_was_not_in_the_previous_plan_is_no_change() -> None:
    assert changes({"J-9": SAME}, answers.CHOICE) == ()
