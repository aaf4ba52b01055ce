"""What an engine to come can be built from is what `fit` would find."""

from __future__ import annotations

from msgspec.structs import replace

from stackopt.choose.stacks.fittable import cylinder_stacks
from stackopt.engine.engine_records import Match
from stackopt.parts.part_records import Kind, Part
from stackopt.stocking.range.seats import engine_seats, nearest_pieces
from tests.stocking.engines_to_come import twin

PARTS = [
    Part("B30", Kind.BASE_GASKET, frozenset({"A"}), 0.30),
    Part("B50", Kind.BASE_GASKET, frozenset({"A"}), 0.50),
    Part("H50", Kind.HEAD_GASKET, frozenset({"A"}), 0.50, opening_mm=84),
    Part("H60", Kind.HEAD_GASKET, frozenset({"A"}), 0.60, opening_mm=84),
    Part("H-small", Kind.HEAD_GASKET, frozenset({"A"}), 0.60, opening_mm=80),
]


def test_each_cylinder_is_a_seat_with_the_stacks_of_fit() -> None:
    """Quench 0.762 to 1.016 over a deck of 0: all but 0.50 + 0.60; over 0.10: those of 0.80 and 0.90."""
    engine = twin("A", decks_mm=(0.0, 0.10))
    seats = engine_seats(engine, PARTS)
    expected = [frozenset(stack.uses for stack in cylinder_stacks(engine, index, PARTS)) for index in (0, 1)]
    assert sorted(seats, key=sorted) == sorted(expected, key=sorted)
    assert frozenset({(("B30", 1), ("H50", 1)), (("B30", 1), ("H60", 1))}) in seats


def test_engines_with_like_cylinders_are_of_one_class_whichever_stands_in_front() -> None:
    assert engine_seats(twin("A", decks_mm=(0.0, 0.1)), PARTS) == engine_seats(twin("A", decks_mm=(0.1, 0.0)), PARTS)


def test_cylinders_under_one_piece_are_one_seat_that_takes_it_once() -> None:
    shared = [*PARTS[:2], replace(PARTS[2], covers=2)]
    (seat,) = engine_seats(twin("A", decks_mm=(0.0, 0.1)), shared)
    assert seat == {(("B30", 2), ("H50", 1))} | {(("B30", 1), ("B50", 1), ("H50", 1))}


def test_cylinders_that_must_match_are_one_seat_without_pairs_too_far_apart() -> None:
    """Decks 0 and 0.10: 0.90 over the first, or 1.00 (0.50 + 0.50), each with 0.10 less over the second."""
    engine = replace(twin("A", decks_mm=(0.0, 0.1)), match=Match(quench_mm=0.01))
    (seat,) = engine_seats(engine, PARTS)
    assert seat == {
        (("B30", 2), ("H50", 1), ("H60", 1)),
        (("B30", 1), ("B50", 1), ("H50", 1), ("H60", 1)),
    }


def test_nearest_pieces_are_those_closest_to_the_aims() -> None:
    """Aim 0.889 over a deck of 0: 0.30 + 0.60 = 0.90 on both cylinders."""
    assert nearest_pieces(twin("A"), PARTS) == {"B30": 2, "H60": 2}
