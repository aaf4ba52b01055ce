"""The simple rules do what their names say, and keep to packs and money."""

from __future__ import annotations

from stackopt.parts.part_records import Kind
from stackopt.stocking.range.keepable import Keepable, tied_up_cents
from stackopt.stocking.range.yardsticks import commonest_first, equal_numbers


def part(name: str, cents: float, here: int = 0, pack: int = 1, minimum_packs: int = 1) -> Keepable:
    return Keepable(name, Kind.BASE_GASKET, here, cents, pack, minimum_packs)


def test_equal_numbers_goes_round_until_the_money_is_spent() -> None:
    """9.00 buys 2 of each at 1.00, 1.00 and 2.00 (8.00), and one more of the first."""
    keepable = {"a": part("a", 100), "b": part("b", 100), "c": part("c", 200)}
    assert equal_numbers(keepable, 900) == {"a": 3, "b": 2, "c": 2}


def test_pieces_here_are_kept_one_by_one_and_bought_by_the_pack() -> None:
    """Of 3 here; then at least 2 packs of 5: 3, 13, 18."""
    each = part("a", 100, here=3, pack=5, minimum_packs=2)
    assert [each.next_level(level) for level in (0, 2, 3, 13)] == [1, 3, 13, 18]
    assert [each.packs_for(level) for level in (2, 3, 13, 18)] == [0, 0, 2, 3]
    assert equal_numbers({"a": each}, 1250) == {"a": 3}
    assert part("b", 100, here=2, pack=0).next_level(2) is None


def test_commonest_need_is_met_first_and_a_part_nobody_asks_for_is_not_kept() -> None:
    """Needs 6, 2, 0 at 1.00: with 8.00 exactly what an average scenario takes."""
    keepable = {name: part(name, 100) for name in "abc"}
    kept = commonest_first(keepable, {"a": 6.0, "b": 2.0}, 800)
    assert kept == {"a": 6, "b": 2}
    assert tied_up_cents(kept, keepable) == 800


def test_what_costs_nothing_is_kept_as_it_is() -> None:
    assert equal_numbers({"a": part("a", 0, here=4, pack=0)}, 100) == {"a": 4}
