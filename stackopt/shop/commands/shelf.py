"""What happens at the shelf without an engine: counted, corrected, scrapped."""

from __future__ import annotations

import difflib
from collections.abc import Mapping

from msgspec import Struct
from sqlalchemy import Connection

from stackopt.shop.commands.losing import Loss, losses, of_taken
from stackopt.shop.database.acts import EFFECTS, Act, Balance
from stackopt.shop.database.bins import USUAL, read_bin_sums
from stackopt.shop.database.faults import refuse
from stackopt.shop.database.lists import read_current, read_one
from stackopt.shop.database.note import Note
from stackopt.shop.database.tables import movement, part
from stackopt.shop.database.transactions import CoreSnapshot, Movement, move, open_event
from stackopt.shop.entries.balances import check_sums, of_parts, sums_by_part
from stackopt.shop.entries.bins import bin_code, check_in_bin
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


def count(
    connection: Connection, note: Note, counted: Mapping[str, int], at: str = MAIN, *, in_bin: str = ""
) -> Counted:
    """Set what is on the shelf of a branch to what was counted; who held pieces that are not there loses them.

    With `in_bin` what was counted is what lies in that bin alone. A count that finds what was expected is written down
    too.
    """
    for number in counted:
        check_known(connection, number)
    snapshot = CoreSnapshot(connection)
    branch = read_branches(snapshot).code(at)
    sums = sums_by_part(connection, of_parts(counted), movement.c.branch == branch)
    on_hand = {number: sums.get(number, Balance()).on_hand for number in counted}
    movements = []
    for number, pieces in counted.items():
        lying = lying_in(connection, number, branch)
        code = bin_code(snapshot, number, branch, in_bin)
        found = pieces - (lying.get(code, 0) if in_bin else on_hand[number])
        movements.append(Movement(number, Act.COUNTED, found, branch=branch, bin=code))
        # Who counts all of them has seen every bin.
        others = [] if in_bin else [name for name in lying if name != USUAL]
        movements += [Movement(number, Act.COUNTED, 0, branch=branch, bin=name) for name in others]
        on_hand[number] += found
    differences = {each.part: each.quantity for each in reversed(movements)}
    lost = losses(connection, on_hand, branch)
    _store(connection, "count", note, [*movements, *(each.movement for each in lost)])
    return Counted({number: differences[number] for number in counted}, lost)


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


class ShelfChange(Struct, frozen=True):
    """Pieces that are put on a branch's shelf, or taken off it where they are negative, and of which bin.

    An empty bin is the one that the stock list names; what it has not comes from the others. `held_too` says that held
    pieces may go.
    """

    pieces: Mapping[str, int]
    at: str = MAIN
    in_bin: str = ""
    held_too: bool = False


def correct(connection: Connection, note: Note, said: ShelfChange) -> None:
    """Add to the shelf, or take from it, what an error in the ledger left out; held pieces only where that is said."""
    _store(connection, "correct", note, _changed(connection, said, Act.CORRECTED))


def scrap(connection: Connection, note: Note, said: ShelfChange) -> None:
    """Take pieces off the shelf that are no longer good; held ones only where that is said."""
    _store(connection, "scrap", note, _changed(connection, said, Act.SCRAPPED))


def _changed(connection: Connection, said: ShelfChange, act: Act) -> list[Movement]:
    snapshot, effect = CoreSnapshot(connection), EFFECTS[act].on_hand
    branch = read_branches(snapshot).code(said.at)
    lost = losses_of_taking(connection, _taken(said.pieces), said.at) if said.held_too else ()
    movements = []
    for number, pieces in said.pieces.items():
        check_known(connection, number)
        code = bin_code(snapshot, number, branch, said.in_bin)
        if said.in_bin and pieces < 0:
            check_in_bin(snapshot, (number, branch), (code, -pieces), lying_in(connection, number, branch))
        movements.append(Movement(number, act, effect * pieces, branch=branch, bin=code))
    return [*movements, *(each.movement for each in lost)]


def _taken(pieces: Mapping[str, int]) -> dict[str, int]:
    return {number: -each for number, each in pieces.items()}


def lying_in(connection: Connection, number: str, branch: str) -> dict[str, int]:
    """Return how many pieces of a part lie in which bin of a branch, all as entries call them."""
    in_bins = read_bin_sums(CoreSnapshot(connection), [number]).get((number, branch))
    if in_bins:
        return in_bins
    sums = sums_by_part(connection, of_parts([number]), movement.c.branch == branch)
    return {USUAL: sums.get(number, Balance()).on_hand}


def _store(connection: Connection, what: str, note: Note, movements: list[Movement]) -> None:
    event_id = open_event(connection, what, note)
    move(connection, event_id, movements)
    check_sums(connection, event_id, movements)
