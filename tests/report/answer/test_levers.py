"""How what levers would do is laid out."""

from __future__ import annotations

from msgspec.structs import replace

from stackopt.choose.why.lever_offers import QUENCH_AIM, WINDOWS, LeverOffer
from stackopt.engine.effects.effect import Effect
from stackopt.engine.effects.figures import Figure
from stackopt.report.answer.levers import lever_table
from stackopt.report.answer.page import terminal
from stackopt.report.layout import captured_text

PAST = Figure("intake valve to piston", 1.54, "mm", "at least 2 mm", False, False)
KEPT = Figure("hot quench", 0.953, "mm", "opens by 0.003 mm", True, True)
EFFECT = Effect(0.95, 9.5, 0.5, False, (PAST, KEPT))


def told(*offers: LeverOffer) -> str:
    return " ".join(captured_text(terminal(colour=False), [lever_table("J-1", offers)]).split())


def test_amount_price_and_all_that_moves_are_told_with_units() -> None:
    said = told(LeverOffer("front", "head cut", QUENCH_AIM, 0.7054, 10.0, 3800, ("B40", "H60"), EFFECT))
    assert "head cut the quench aim 0.705 mm 38.00 B40 + H60" in said
    assert "quench 0.950 mm; ratio 9.50, an estimate outside a window or limit" in said
    assert "intake valve to piston 1.540 mm, at least 2 mm: past its limit" in said
    assert "hot quench 0.953 mm, an estimate" in said
    assert "opens by" not in said


def test_what_does_not_reach_costs_nothing_and_says_how_far_was_looked() -> None:
    said = told(LeverOffer("front", "spacer", WINDOWS, None, 0.7, 4500))
    assert "none does looked at up to 0.7 mm" in said
    assert "45.00" not in said


def test_what_is_not_needed_says_so() -> None:
    said = told(LeverOffer("front", "deck cut", WINDOWS, 0.0, 0.5, 4500, ("B40", "H60"), EFFECT))
    assert "none needed B40 + H60" in said
    assert "45.00" not in said


def test_a_price_that_no_book_states_is_said_to_be_missing() -> None:
    landed = replace(EFFECT, inside=True)
    said = told(LeverOffer("front", "piston", WINDOWS, None, None, None, ("P1", "B40"), landed))
    assert "piston the windows not stated P1 + B40" in said
    on_shelf = told(LeverOffer("front", "piston", WINDOWS, None, None, 0, ("P1", "B40"), EFFECT))
    assert "on the shelf" in on_shelf


def test_without_offers_nothing_is_laid_out() -> None:
    assert lever_table("J-1", ()) == []


def test_a_piston_that_misses_a_window_is_not_said_to_reach_it() -> None:
    missed = told(LeverOffer("front", "piston", WINDOWS, None, None, 4600, ("P1", "B40", "H60"), EFFECT))
    assert "the windows not enough 46.00 P1 + B40 + H60" in missed
    landed = replace(EFFECT, inside=True)
    assert "not enough" not in told(LeverOffer("front", "piston", WINDOWS, None, None, 4600, ("P1",), landed))
