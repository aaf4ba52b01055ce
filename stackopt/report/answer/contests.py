"""Who stood back for whom in a plan, and what it would cost all engines together were it otherwise."""

from __future__ import annotations

from collections.abc import Sequence

from rich.console import RenderableType

from stackopt.choose.why.contests import Contest, WantedPart
from stackopt.report.answer.proof import WORDINGS
from stackopt.report.layout import heading, indented, table


def contests_table(contests: Sequence[Contest]) -> list[RenderableType]:
    """Return heading and table of engines that would have got better parts alone; nothing where there are none."""
    if not contests:
        return []
    laid = table("engine", "alone it would have", "who has it", "if it got that")
    for contest in contests:
        laid.add_row(
            contest.engine,
            "\n".join([*_stacks(contest), *_gain(contest)]),
            "\n".join(map(_holder, contest.wanted)),
            _loss(contest),
        )
    return [heading("Who stood back for whom"), indented(laid)]


def _stacks(contest: Contest) -> list[str]:
    return [
        f"{cylinder.cylinder}: {' + '.join([*(piece.part for piece in cylinder.pieces), *map(str, cylinder.work)])}"
        for cylinder in contest.alone
    ]


def _gain(contest: Contest) -> list[str]:
    wording = WORDINGS["closeness"]
    return [wording.less.format(wording.write(contest.nearer_by))] if contest.nearer_by else []


def _holder(wanted: WantedPart) -> str:
    others = [name for name in wanted.holders if name not in wanted.bound]
    bound = [f"{', '.join(wanted.bound)}, which can use nothing else"] if wanted.bound else []
    return f"{wanted.part}: {'; '.join([*bound, *([', '.join(others)] if others else [])])}"


def _loss(contest: Contest) -> str:
    if not contest.is_known:
        return ""
    if not contest.lost_on:
        return "all together no worse"
    wording = WORDINGS[contest.lost_on]
    return f"all together: {wording.more.format(wording.write(contest.by))}"
