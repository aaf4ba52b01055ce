"""Which engines are to come: families by their share, deck heights and bores as they were or as they are stated."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from itertools import groupby

import numpy as np
from msgspec import Struct
from msgspec.structs import replace

from stackopt.engine.engine_records import Cylinder, Engine

# Fewer past engines of a family than this say nothing of how its decks scatter.
LEAST_PAST_ENGINES = 3


class Deck(Struct, frozen=True):
    """Deck heights as they are stated: mean and standard deviation, mm, positive below the cylinder's deck."""

    mean_mm: float
    spread_mm: float


class BoreStep(Struct, frozen=True):
    """So many mm over the standard bore, and the share of engines that are bored to it."""

    oversize_mm: float
    share: float


class FamilyToCome(Struct, frozen=True):
    """One family among the engines to come.

    Parameters
    ----------
    family
        Its code.
    share
        Its weight among all families; only the proportion counts.
    patterns
        Engines of the family, at least one: geometry, windows and volumes are drawn from them.
    deck
        Stated decks; None: as those of the patterns scatter.
    bores
        Stated oversizes; empty: the patterns' own bores.
    """

    family: str
    share: float
    patterns: tuple[Engine, ...]
    deck: Deck | None = None
    bores: tuple[BoreStep, ...] = ()


class Outlook(Struct, frozen=True):
    """The engines to come.

    Parameters
    ----------
    families
        At least one.
    engines
        How many arrive before the shelf can be filled again; one scenario is so many engines.
    scenarios
        How many scenarios the range is chosen by.
    seed
        Where the random numbers start: the same seed, the same engines.
    """

    families: tuple[FamilyToCome, ...]
    engines: int = 20
    scenarios: int = 50
    seed: int = 1


def families_of_past(past: Iterable[Engine]) -> tuple[tuple[FamilyToCome, ...], tuple[str, ...]]:
    """Return the families of past engines, each by its share of them; and those with too few engines to go by.

    Engines and cylinders come in a fixed order, so that the same engines give the same draws in whatever order they
    stand in a sheet.
    """
    ordered = sorted(map(_sorted_cylinders, past), key=lambda engine: (engine.family, engine.name, repr(engine)))
    grouped = [(family, tuple(engines)) for family, engines in groupby(ordered, key=lambda engine: engine.family)]
    told = [(family, engines) for family, engines in grouped if len(engines) >= LEAST_PAST_ENGINES]
    too_few = tuple(family for family, engines in grouped if len(engines) < LEAST_PAST_ENGINES)
    return tuple(FamilyToCome(family, len(engines), engines) for family, engines in told), too_few


def _sorted_cylinders(engine: Engine) -> Engine:
    return replace(engine, cylinders=tuple(sorted(engine.cylinders, key=lambda cylinder: cylinder.name)))


def draw_scenarios(outlook: Outlook, count: int, stream: int) -> list[list[Engine]]:
    """Draw scenarios of engines to come.

    Parameters
    ----------
    outlook
        What they are drawn from.
    count
        How many scenarios.
    stream
        Which of the independent streams of random numbers that start from the outlook's seed.
    """
    random = np.random.default_rng([outlook.seed, stream])
    shares = np.array([family.share for family in outlook.families], dtype=float)
    scenarios = []
    for _ in range(count):
        drawn = random.choice(len(shares), size=outlook.engines, p=shares / shares.sum())
        scenarios.append([_draw_engine(outlook.families[index], random) for index in sorted(drawn)])
    return scenarios


def _draw_engine(family: FamilyToCome, random: np.random.Generator) -> Engine:
    pattern = family.patterns[random.integers(len(family.patterns))]
    oversize_mm = _draw_oversize_mm(family.bores, random)
    cylinders = tuple(
        replace(
            cylinder,
            bore_mm=cylinder.bore_mm + oversize_mm,
            deck_height_mm=_draw_deck_mm(family, cylinder, random),
        )
        for cylinder in pattern.cylinders
    )
    return replace(pattern, cylinders=cylinders, due=None, pinned={})


def _draw_oversize_mm(bores: Sequence[BoreStep], random: np.random.Generator) -> float:
    if not bores:
        return 0.0
    shares = np.array([step.share for step in bores], dtype=float)
    return bores[random.choice(len(bores), p=shares / shares.sum())].oversize_mm


def _draw_deck_mm(family: FamilyToCome, cylinder: Cylinder, random: np.random.Generator) -> float:
    """Draw a deck as stated, else one near that of a past cylinder.

    References
    ----------
    Silverman, Density Estimation for Statistics and Data Analysis (1986), sections 3.4.2 and 6.4.1 (from memory): a
    past value blurred by a normal kernel and drawn in so that mean and spread stay those of the past.
    """
    if family.deck is not None:
        return float(random.normal(family.deck.mean_mm, family.deck.spread_mm))
    decks_mm = [each.deck_height_mm for engine in family.patterns for each in engine.cylinders]
    mean_mm, spread_mm = float(np.mean(decks_mm)), float(np.std(decks_mm))
    width = 1.06 * len(decks_mm) ** -0.2
    blurred_mm = cylinder.deck_height_mm - mean_mm + width * spread_mm * random.standard_normal()
    return mean_mm + float(blurred_mm) / math.sqrt(1 + width**2)
