"""Measures and proportions that an engine hardly has: each may be right, so it is said and not refused.

`usual_ranges` knows what is usual.
"""

from __future__ import annotations

from collections.abc import Iterator

from stackopt.engine.cautions import About, Caution
from stackopt.engine.effects.usual_ranges import USUAL, UnusualFigure, engine_figures
from stackopt.engine.engine_records import EDGE_TOLERANCE, Cylinder, Engine

CYLINDERS_OF_A_TWIN = 2


def unusual_measures(engine: Engine) -> Iterator[Caution]:
    """Yield what is unusual in an engine's measures; once where all cylinders have it."""
    told: dict[tuple[str, tuple[float, ...]], list[str]] = {}
    for cylinder in engine.cylinders:
        for words in dict.fromkeys(_of_cylinder(cylinder)):
            told.setdefault(words, []).append(cylinder.name)
    for words, names in told.items():
        everywhere = len(names) == len(engine.cylinders) > 1
        for name in [""] if everywhere else names:
            yield Caution(About.UNUSUAL_MEASURE, name, *words)
    yield from (Caution(About.UNUSUAL_MEASURE, "", *words) for words in _of_engine(engine))
    yield from _deck_of_zero(engine)
    if len(engine.cylinders) > CYLINDERS_OF_A_TWIN:
        text = f"{len(engine.cylinders)} cylinders are stated, and a twin has two. Is another engine's among them?"
        yield Caution(About.MORE_THAN_TWO, "", text)


def _deck_of_zero(engine: Engine) -> Iterator[Caution]:
    for cylinder in engine.cylinders:
        stated = cylinder.stated
        if stated is not None and stated.written.get("deck") and cylinder.deck_height_mm == 0:
            text = "the deck is stated as 0: the piston's flat counts as level with it. If it was not read, read it."
            yield Caution(About.DECK_AS_NOUGHT, cylinder.name, text)


Words = tuple[str, tuple[float, ...]]


def _of_cylinder(cylinder: Cylinder) -> Iterator[Words]:
    for (low, high), figures in USUAL:
        for figure in figures(cylinder):
            if not low - EDGE_TOLERANCE <= figure.value <= high + EDGE_TOLERANCE:
                yield _words(figure, low, high)


def _of_engine(engine: Engine) -> Iterator[Words]:
    for (low, high), figure in engine_figures(engine):
        if not low - EDGE_TOLERANCE <= figure.value <= high + EDGE_TOLERANCE:
            yield _words(figure, low, high)


def _words(figure: UnusualFigure, low: float, high: float) -> Words:
    """Say what is unusual, and what would be usual."""
    if not figure.unit:
        if low == -high:
            return f"{figure.what} of {{}} is unusual: at most {{}} is usual. Check number and unit.", (
                abs(figure.value),
                high,
            )
        return f"{figure.what} of {{}} is unusual: {{}} to {{}} is usual. Check number and unit.", (
            figure.value,
            low,
            high,
        )
    unit = "" if figure.unit == "-" else f" {figure.unit}"
    text = f"{figure.what} of {figure.value:.4g}{unit} is unusual: {low:g} to {high:g}{unit} is usual. Check it."
    return text, ()
