"""Carrying pieces from one bin to another of the same branch: nothing is more or less, nobody's hold changes."""

from __future__ import annotations

from msgspec import Struct
from sqlalchemy import Connection

from stackopt.parts.part_records import InBin
from stackopt.shop.commands.shelf import check_known, lying_in
from stackopt.shop.database.acts import Act
from stackopt.shop.database.faults import refuse
from stackopt.shop.database.note import Note
from stackopt.shop.database.transactions import CoreSnapshot, Movement, move, open_event
from stackopt.shop.entries.balances import check_sums
from stackopt.shop.entries.bins import bin_code, bins_of, check_in_bin, read_bins
from stackopt.shop.entries.branches import MAIN, read_branches


class Moved(Struct, frozen=True):
    """Pieces of a part that are carried between two bins of a branch; an empty bin is the one that the list names."""

    part: str
    pieces: int
    origin: str
    destination: str
    at: str = MAIN


def move_between(connection: Connection, note: Note, wanted: Moved) -> tuple[InBin, ...]:
    """Carry pieces from one bin to another; return in which bins they lie then.

    Raises
    ------
    InputError
        When the part is not known, both bins are one, or fewer lie in the first.
    """
    check_known(connection, wanted.part)
    snapshot = CoreSnapshot(connection)
    branch = read_branches(snapshot).code(wanted.at)
    ends = [bin_code(snapshot, wanted.part, branch, name) for name in (wanted.origin, wanted.destination)]
    usual = read_bins(snapshot, [wanted.part]).get((wanted.part, branch), "")
    if ends[0] == ends[1]:
        raise refuse(wanted.part, f"from {ends[0] or usual or 'its bin'} to itself", "two bins", "Nothing was stored.")
    lying = lying_in(connection, wanted.part, branch)
    check_in_bin(snapshot, (wanted.part, branch), (ends[0], wanted.pieces), lying)
    moved = [
        Movement(wanted.part, Act.MOVED, pieces, branch=branch, bin=code)
        for code, pieces in zip(ends, (-wanted.pieces, wanted.pieces), strict=True)
    ]
    event_id = open_event(connection, "move", note)
    move(connection, event_id, moved)
    check_sums(connection, event_id, moved)
    return bins_of(usual, lying_in(connection, wanted.part, branch))
