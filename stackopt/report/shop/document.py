"""The board as a JSON document."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from stackopt.choose.built.board import BoardLine
from stackopt.report.shop.words import next_words


def board_document(lines: Iterable[BoardLine]) -> list[dict[str, Any]]:
    """Return the lines of the board; days as 2027-02-12, None for a day that is not known."""
    return [_line(line) for line in lines]


def _line(line: BoardLine) -> dict[str, Any]:
    place = {"at": line.branch} if line.branch else {}
    return place | {
        "engine": line.engine,
        "family": line.family,
        "due": line.due and line.due.isoformat(),
        "state": line.state.value,
        "ready_on": line.ready_on and line.ready_on.isoformat(),
        "late_days": line.late_days,
        "holds": dict(line.holds),
        "waits_for": [
            {
                "part": each.part,
                "quantity": each.quantity,
                "order": each.order,
                "supplier": each.supplier,
                "here_on": each.here_on.isoformat(),
                "sent": each.sent,
            }
            | ({"held_at": each.branch} if each.branch else {})
            for each in line.waits_for
        ],
        "lacks": dict(line.lacks),
        "who": line.who,
        "next": next_words(line),
        "note": line.note,
    }
