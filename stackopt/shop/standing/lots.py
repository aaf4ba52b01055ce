"""Deliveries of which pieces were measured, and which of them may lie on the shelf.

A ledger counts pieces and does not tell them apart. What it knows: since the shelf was last empty, a piece that lies
there came with one of the deliveries since then, or was found, taken out of a kit or brought back.
"""

from __future__ import annotations

import json
from collections import defaultdict
from collections.abc import Collection, Mapping
from itertools import groupby

from msgspec.structs import replace

from stackopt.parts.lots import Batch, with_lots
from stackopt.parts.part_records import Supply
from stackopt.shop.database.acts import EFFECTS, Act
from stackopt.shop.database.snapshot import SentenceParameters, Snapshot, sealed_rows
from stackopt.shop.standing.engine_list import cylinders_of

# What came with no delivery that was measured.
UNMEASURED = 0


def with_measured_lots(snapshot: Snapshot, supply: Supply, asking: Collection[str], branch: str | None) -> Supply:
    """Return a supply whose parts go by what their deliveries measured, as far as their pieces may be taken.

    Pieces are taken off the shelf before any is ordered. So a part of which enough are free for the engines asked about
    goes by the shelf alone; else what may be ordered, or is under way, counts as listed beside it.

    Parameters
    ----------
    snapshot
        The ledger at one moment.
    supply
        What it holds, with the parts as listed or as the shop knows them from builds.
    asking
        The engines asked about.
    branch
        Where they are built; None: the shop as a whole.
    """
    lots = lots_on_shelf(snapshot, supply.parts, branch)
    if not lots:
        return supply
    needed = cylinders_of(snapshot, asking)
    parts = {
        number: with_lots(supply.parts[number], of_part, _others(supply, number, needed))
        for number, of_part in lots.items()
        if supply.free(number) > 0
    }
    return replace(supply, parts={**supply.parts, **parts})


def _others(supply: Supply, number: str, needed: int) -> int:
    """Return how many pieces may be taken that do not lie on the shelf: none where there are none, or enough lie there.

    Where nobody says how many engines are asked about, as many as lie there may.
    """
    comes = any(offer.part == number and not offer.discontinued for offer in supply.offers)
    comes |= any(each.part == number for each in supply.ordered)
    comes |= any(number in kit.contents for kit in supply.kits.values())
    free = supply.free(number)
    return 0 if not comes else max(0, needed - free) if needed else free


def lots_on_shelf(
    snapshot: Snapshot, numbers: Collection[str], branch: str | None = None
) -> dict[str, tuple[Batch, ...]]:
    """Return the deliveries of which pieces may lie on a branch's shelf, of those parts of which one was measured.

    What another branch sent is a delivery that nobody measured. None for the branch is the shop as a whole.
    """
    rows = [row for row in sealed_rows(snapshot, "lot", "1 = 1", SentenceParameters()) if row["part"] in numbers]
    if not rows:
        return {}
    void = _void_events(snapshot)
    readings: dict[str, dict[int, tuple[float, ...]]] = defaultdict(dict)
    for row in rows:
        if row["event"] not in void:
            readings[row["part"]][row["event"]] = tuple(json.loads(row["readings_mm"]))
    found = {part: _of_part(snapshot, part, measured, void, branch) for part, measured in readings.items()}
    return {part: lots for part, lots in found.items() if any(lot.readings_mm for lot in lots)}


def _void_events(snapshot: Snapshot) -> set[int]:
    """Return the events that were taken back, and those that take one back."""
    pairs = list(snapshot.rows("SELECT id, undoes FROM event WHERE undoes IS NOT NULL ORDER BY id DESC", {}))
    void: set[int] = set()
    for later, earlier in pairs:
        if later not in void:
            void.add(earlier)
    return void | {later for later, _ in pairs}


def _of_part(
    snapshot: Snapshot,
    part: str,
    readings: Mapping[int, tuple[float, ...]],
    void: Collection[int],
    branch: str | None,
) -> tuple[Batch, ...]:
    names = SentenceParameters()
    where = f"part = {names.add(part)}" + ("" if branch is None else f" AND branch = {names.add(branch)}")
    moved = snapshot.rows(f"SELECT event, act, quantity FROM movement WHERE {where} ORDER BY event, id", names.values)
    came: dict[int, int] = defaultdict(int)
    on_hand = 0
    for event, rows in groupby(moved, key=lambda row: row[0]):
        if event in void:
            continue
        for _, act, quantity in rows:
            pieces = EFFECTS[Act(act)].on_hand * int(quantity)
            on_hand += pieces
            if pieces > 0:
                came[event if act == Act.RECEIVED and event in readings else UNMEASURED] += pieces
        if on_hand <= 0:
            came.clear()
    return tuple(Batch(pieces, readings.get(event, ())) for event, pieces in came.items())
