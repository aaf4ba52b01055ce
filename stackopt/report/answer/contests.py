"""Who stood back for whom in a plan, at what cost for all engines together; and whose holds would have to give way."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date

from rich.console import RenderableType

from stackopt.choose.choice_records import GivingWay
from stackopt.choose.why.contests import Contest, WantedPart
from stackopt.report.answer.proof import WORDINGS
from stackopt.report.layout import bullets, heading, indented, table
from stackopt.report.wording import written_date
from stackopt.units import money


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


def giving_way_section(found: Sequence[GivingWay], today: date) -> list[RenderableType]:
    """Return heading and lines of what would have to give way; nothing where nothing is known."""
    if not found:
        return []
    lines = bullets(giving_way_words(each, today) for each in found)
    return [heading("What would have to give way"), indented(lines)]


def giving_way_words(each: GivingWay, today: date) -> str:
    """Say whose pieces would finish an engine, when, and what is then paid for it."""
    pieces = " and ".join(part if count == 1 else f"{count} of {part}" for part, count in each.pieces.items())
    when = "today" if each.ready_on == today else f"on {written_date(each.ready_on)}"
    paid = f", for {money(each.spend_cents)}" if each.spend_cents else ""
    return f"release {each.holder}'s {pieces}, and {each.engine} is ready {when}{paid}; {each.holder} then lacks that"
