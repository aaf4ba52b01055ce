"""Engines to come: drawn as stated, or as the past was."""

from __future__ import annotations

from collections import Counter

import numpy as np
import pytest

from stackopt.stocking.range.outlook import BoreStep, Deck, FamilyToCome, Outlook, draw_scenarios, families_of_past
from tests.stocking.engines_to_come import twin


def decks_mm(outlook: Outlook, count: int = 1000) -> list[float]:
    drawn = draw_scenarios(outlook, count, 0)
    return [cylinder.deck_height_mm for engines in drawn for engine in engines for cylinder in engine.cylinders]


def test_stated_decks_have_the_stated_mean_and_spread() -> None:
    """20,000 cylinders: the mean within 3 · 0.12/√20,000 = 0.003 mm, the spread within 3 · 0.12/√40,000 = 0.002 mm."""
    drawn = decks_mm(Outlook((FamilyToCome("A", 1, (twin("A"),), Deck(-0.07, 0.12)),), engines=10))
    assert np.mean(drawn) == pytest.approx(-0.07, abs=0.003)
    assert np.std(drawn) == pytest.approx(0.12, abs=0.002)


def test_decks_of_the_past_keep_their_mean_and_spread() -> None:
    """Past decks -0.2, -0.1, 0, 0, 0.1, 0.2: mean 0, spread √(0.1/6) = 0.1291 mm."""
    past = [twin("A", decks_mm=pair) for pair in ((-0.2, -0.1), (0.0, 0.0), (0.1, 0.2))]
    families, too_few = families_of_past([*past, twin("B")])
    assert too_few == ("B",)
    drawn = decks_mm(Outlook(families, engines=10))
    assert np.mean(drawn) == pytest.approx(0.0, abs=0.004)
    assert np.std(drawn) == pytest.approx(0.1291, abs=0.003)
    assert len(set(drawn)) == len(drawn)


def test_families_and_bores_come_by_their_shares() -> None:
    """8,000 engines: shares 3 to 1 and 0.2 within 0.02, more than four standard errors (√(0.25·0.75/8,000) = 0.005)."""
    bores = (BoreStep(0.0, 0.8), BoreStep(0.5, 0.2))
    families = (
        FamilyToCome("A", 3, (twin("A"),), Deck(0, 0.1), bores),
        FamilyToCome("B", 1, (twin("B"),), Deck(0, 0.1)),
    )
    drawn = [engine for engines in draw_scenarios(Outlook(families, engines=8), 1000, 0) for engine in engines]
    of_family = Counter(engine.family for engine in drawn)
    assert of_family["A"] / 8000 == pytest.approx(0.75, abs=0.02)
    bored = Counter(engine.cylinders[0].bore_mm for engine in drawn if engine.family == "A")
    assert bored[82.5] / of_family["A"] == pytest.approx(0.2, abs=0.02)


def test_the_same_seed_draws_the_same_engines_and_another_stream_does_not() -> None:
    outlook = Outlook((FamilyToCome("A", 1, (twin("A"),), Deck(0, 0.1)),), engines=3, seed=5)
    assert draw_scenarios(outlook, 4, 0) == draw_scenarios(outlook, 4, 0)
    assert draw_scenarios(outlook, 4, 0) != draw_scenarios(outlook, 4, 1)
