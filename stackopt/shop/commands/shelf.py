"""What happens at the shelf without an engine: counted, corrected, scrapped."""

from __future__ import annotations

import difflib
from collections.abc import Mapping

from msgspec import Struct
from sqlalchemy import Connection

from stackopt.shop.commands.losing import Loss, losses, of_taken
from stackopt.shop.database.acts import Act, Balance
from stackopt.shop.database.faults import refuse
from stackopt.shop.database.lists import read_current, read_one
from stackopt.shop.database.note import Note
from stackopt.shop.database.tables import movement, part
from stackopt.shop.database.transactions import CoreSnapshot, Movement, move, open_event
from stackopt.shop.entries.balances import check_sums, of_parts, sums_by_part
from stackopt.shop.entries.branches import MAIN, read_branches


def check_known(connection: Connection, number: str) -> None:
    """Refuse a part that the ledger neither lists nor has pieces of: a list may have dropped it while some stayed.

    Raises
    ------
    InputError
        When it does not.
    """
    has_pieces = any(sums != Balance() for sums in sums_by_part(connection, of_parts([number])).values())
    if not has_pieces and not read_one(connection, part, part.c.number == number):
        raise refuse("", number, "a part number of the ledger", _nearest_words(connection, number))


def _nearest_words(connection: Connection, number: str) -> str:
    """Return which listed number was most likely meant, and where all of them are."""
    known = [row.number for row in read_current(connection, part)]
    same = [each for each in known if each.casefold() == number.casefold()]
    near = same or difflib.get_close_matches(number, known, n=1)
    return f"{f'Did you mean {near[0]}? ' if near else ''}`stackopt shop stock` lists them."


class Counted(Struct, frozen=True):
    """What a count found against the ledger, by part number, and who lost held pieces that are not there."""

    differences: Mapping[str, int]
    losses: tuple[Loss, ...] = ()


def count(connection: Connection, note: Note, counted: Mapping[str, int], at: str = MAIN) -> Counted:
    """Set what is on the shelf of a branch to what was counted; who held pieces that are not there loses them.

    A count that finds what was expected is written down too.
    """
    for number in counted:
        check_known(connection, number)
    branch = read_branches(CoreSnapshot(connection)).code(at)
    sums = sums_by_part(connection, of_parts(counted), movement.c.branch == branch)
    found = {number: pieces - sums.get(number, Balance()).on_hand for number, pieces in counted.items()}
    lost = losses(connection, counted, branch)
    movements = [Movement(each, Act.COUNTED, found[each], branch=branch) for each in counted]
    _store(connection, "count", note, [*movements, *(each.movement for each in lost)])
    return Counted(found, lost)


def losses_of_taking(connection: Connection, pieces: Mapping[str, int], at: str = MAIN) -> tuple[Loss, ...]:
    """Return who would lose held pieces if so many were taken off a branch's shelf; nobody where fewer lie there.

    Raises
    ------
    InputError
        When a part is not known.
    """
    for number in pieces:
        check_known(connection, number)
    branch = read_branches(CoreSnapshot(connection)).code(at)
    left = of_taken(sums_by_part(connection, of_parts(pieces), movement.c.branch == branch), pieces)
    return () if any(each < 0 for each in left.values()) else losses(connection, left, branch)


def correct(  # noqa: PLR0913 - one for each thing that is said
    connection: Connection, note: Note, number: str, difference: int, at: str = MAIN, *, held_too: bool = False
) -> None:
    """Add to the shelf, or take from it, what an error in the ledger left out; held pieces only where that is said."""
    branch = read_branches(CoreSnapshot(connection)).code(at)
    lost = losses_of_taking(connection, {number: -difference}, at) if held_too else ()
    check_known(connection, number)
    movements = [Movement(number, Act.CORRECTED, difference, branch=branch), *(each.movement for each in lost)]
    _store(connection, "correct", note, movements)


def scrap(
    connection: Connection, note: Note, pieces: Mapping[str, int], at: str = MAIN, *, held_too: bool = False
) -> None:
    """Take pieces off the shelf that are no longer good; held ones only where that is said."""
    branch = read_branches(CoreSnapshot(connection)).code(at)
    lost = losses_of_taking(connection, pieces, at) if held_too else ()
    for number in pieces:
        check_known(connection, number)
    movements = [Movement(number, Act.SCRAPPED, each, branch=branch) for number, each in pieces.items()]
    _store(connection, "scrap", note, [*movements, *(each.movement for each in lost)])


def _store(connection: Connection, what: str, note: Note, movements: list[Movement]) -> None:
    event_id = open_event(connection, what, note)
    move(connection, event_id, movements)
    check_sums(connection, event_id, movements)
