"""The next best choices for one engine, and why each lost."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import zip_longest

from rich.console import RenderableType

from stackopt.choose.choice_records import FittedCylinder, FittedEngine
from stackopt.choose.why.alternatives import Alternative
from stackopt.choose.why.explain import Answer
from stackopt.parts.part_records import Supply
from stackopt.report.answer.fitted import quench_and_ratio
from stackopt.report.answer.proof import WORDINGS
from stackopt.report.layout import heading, indented, table


def next_best_table(chosen: FittedEngine, alternatives: Sequence[Alternative], supply: Supply) -> list[RenderableType]:
    """Return heading and table of what lost; only the cylinders that would get something else are written."""
    if not alternatives:
        return [heading("Nothing else would do")]
    laid = table("", "cylinder", "instead", "quench", "ratio", "why it lost", right=("quench", "ratio"))
    for place, alternative in enumerate(alternatives, start=2):
        for number, cylinder in enumerate(changed_cylinders(chosen, alternative.engine)):
            first = number == 0
            laid.add_row(
                f"{place}." if first else "",
                cylinder.cylinder,
                _pieces(cylinder),
                *quench_and_ratio(cylinder, supply.parts),
                why_lost(alternative) if first else "",
            )
    return [heading("Next best (the other cylinder stays as it is where only one is named)"), indented(laid)]


def preferences_table(answer: Answer) -> list[RenderableType]:
    """Return heading and table of what another first preference would bring and cost; nothing where none does."""
    if not answer.preferences:
        return []
    laid = table("", "cylinder", "instead", "then it")
    (chosen,) = answer.choice.engines
    for other in answer.preferences:
        changed = changed_cylinders(chosen, other.choice.engines[0])
        gained, lost = WORDINGS[other.first], WORDINGS[other.lost_on]
        instead = [(cylinder.cylinder, _pieces(cylinder)) for cylinder in changed] or [("", "the same pieces")]
        words = [gained.less.format(gained.write(other.gained)), f"but {lost.more.format(lost.write(other.lost))}"]
        for number, (cells, word) in enumerate(zip_longest(instead, words)):
            laid.add_row("" if number else f"--prefer {other.first}", *(cells or ("", "")), word or "")
    return [heading("If something else counted first"), indented(laid)]


def changed_cylinders(chosen: FittedEngine, other: FittedEngine) -> list[FittedCylinder]:
    """Return the cylinders that get other pieces or other work in the other choice."""
    return [
        theirs
        for ours, theirs in zip(chosen.cylinders, other.cylinders, strict=True)
        if (ours.pieces, ours.work) != (theirs.pieces, theirs.work)
    ]


def why_lost(alternative: Alternative) -> str:
    """Say in words why a choice lost."""
    if not alternative.lost_on:
        return "as good in everything"
    wording = WORDINGS[alternative.lost_on]
    return wording.more.format(wording.write(alternative.by))


def _pieces(cylinder: FittedCylinder) -> str:
    return " + ".join([*(piece.part for piece in cylinder.pieces), *(str(work) for work in cylinder.work)])
