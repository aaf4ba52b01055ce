"""Parts that a price list says are superseded by themselves, straight or round a circle; asked about."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from msgspec.structs import replace

from stackopt.books.tables.columns import Reader
from stackopt.books.words.cells import LEAVE_OUT
from stackopt.problems import Question, plain_key

COLUMN = "superseded by"
NOT_SUPERSEDED = "it is not superseded"


def successors_asked(
    reader: Reader, part: Sequence[str | None], successor: Sequence[str | None]
) -> Sequence[str | None]:
    """Return by which number each row's part is superseded; asks where that leads back to the part itself."""
    follows = {
        _plain(number): _plain(new) for number, new in zip(part, successor, strict=True) if number is not None and new
    }
    in_circle = [at for at, number in enumerate(part) if number is not None and _leads_back(_plain(number), follows)]
    if not in_circle:
        return successor
    settled = list(successor)
    alone = [at for at in in_circle if follows[_plain(part[at] or "")] == _plain(part[at] or "")]
    for positions in (alone, *([at] for at in in_circle if at not in alone)):
        answer = _asked(reader, positions, part, successor) if positions else ""
        if answer == NOT_SUPERSEDED:
            settled = [None if at in positions else new for at, new in enumerate(settled)]
        else:
            reader.refused.update(positions)
    return settled


def _plain(number: str) -> str:
    return number.strip().casefold()


def _leads_back(number: str, follows: Mapping[str, str]) -> bool:
    """Tell whether one successor after another leads back to a number."""
    seen: set[str] = set()
    at = number
    while at in follows and at not in seen:
        seen.add(at)
        at = follows[at]
        if at == number:
            return True
    return False


def _asked(
    reader: Reader, positions: Sequence[int], part: Sequence[str | None], successor: Sequence[str | None]
) -> str | None:
    """Ask once of rows that name their own numbers, and of each that comes back to it by others."""
    first = positions[0]
    place = reader.table.place(first, COLUMN)
    if len(positions) > 1:
        place = replace(place, item=f"rows {', '.join(str(reader.table.rows[at] + 1) for at in positions)}")
    found = f"{part[first]}, superseded by {successor[first]}"
    own = part[first] is not None and _plain(part[first] or "") == _plain(successor[first] or "")
    expected = f"another number than {'its own' if own else 'one that this part supersedes'}"
    key = plain_key(f"{COLUMN} its own number" if own else f"{COLUMN} {found}")
    return reader.table.inquiry.ask(Question(place, found, expected, (NOT_SUPERSEDED, LEAVE_OUT), key))
