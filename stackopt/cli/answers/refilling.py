"""The shelf of one branch refilled: what others have more of than they keep is sent to it before anything is bought."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from datetime import date, timedelta
from shlex import quote
from typing import TYPE_CHECKING, Any

from msgspec.structs import replace

from stackopt.parts.part_records import Supply, UnderWay
from stackopt.report.wording import written_date
from stackopt.stocking.reorder.restock_records import Restock

if TYPE_CHECKING:
    from stackopt.cli.sources.ledger_source import LedgerSource
    from stackopt.shop.places.surplus import Surplus


def refilled(
    source: LedgerSource, supply: Supply, restock: Callable[[Supply], Restock]
) -> tuple[Restock, tuple[Surplus, ...]]:
    """Return what a branch is to order, and what other branches send it in place of that."""
    # Where books are read SQLAlchemy is not imported.
    from stackopt.shop.places.surplus import to_be_sent  # noqa: PLC0415

    answer = restock(supply)
    sent = to_be_sent(source.ledger.surplus_for(source.at), {line.part: line.wanted for line in answer.parts})
    if not sent:
        return answer, ()
    coming = (UnderWay(s.part, s.pieces, source.today + timedelta(days=s.days), branch=s.branch) for s in sent)
    return restock(replace(supply, ordered=(*supply.ordered, *coming))), sent


def sent_words(sent: Iterable[Surplus], branch: str, today: date) -> Iterator[str]:
    """Tell what other branches are to send, and how."""
    for each in sent:
        day = written_date(today + timedelta(days=each.days))
        command = (
            f"stackopt shop transfer {quote(each.part)} {each.pieces} --from {quote(each.branch)} --to {quote(branch)}"
        )
        yield f"{each.branch} has {each.pieces} of {each.part} more than it keeps, here {day} if sent today: {command}"


def sent_rows(sent: Iterable[Surplus], branch: str, today: date) -> list[dict[str, Any]]:
    """Return the same for a JSON document."""
    return [
        {
            "part": each.part,
            "quantity": each.pieces,
            "from": each.branch,
            "to": branch,
            "here_on": (today + timedelta(days=each.days)).isoformat(),
        }
        for each in sent
    ]
