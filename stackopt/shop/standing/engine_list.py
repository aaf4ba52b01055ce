"""The engines that the ledger lists."""

from __future__ import annotations

import json
from collections.abc import Collection

from stackopt.engine.engine_records import Engine
from stackopt.shop.database.faults import refuse
from stackopt.shop.database.snapshot import SentenceParameters, Snapshot, current_rows
from stackopt.shop.entries.branches import read_branches
from stackopt.shop.entries.recorded import read_as

# An engine out of a file has hardly more.
MOST_CYLINDERS = 4


def built_at(snapshot: Snapshot, name: str) -> str:
    """Return the branch where an engine is built, by what was chosen for it last; empty for the main one."""
    names = SentenceParameters()
    rows = current_rows(snapshot, "chosen", ("record",), f"engine = {names.add(name)}", names)
    branch = str(json.loads(rows[0].record).get("branch", "")) if rows else ""
    return branch if branch in read_branches(snapshot).codes else ""


def engine_called(snapshot: Snapshot, name: str) -> Engine:
    """Return an engine as it was loaded.

    Raises
    ------
    InputError
        When none of that name is in the ledger.
    """
    names = SentenceParameters()
    rows = current_rows(snapshot, "engine", ("record",), f"name = {names.add(name)}", names)
    if not rows:
        known = ", ".join(row.name for row in current_rows(snapshot, "engine", ("name",))) or "none"
        raise refuse("", name, f"an engine of the ledger: {known}")
    return read_as(Engine, rows[0].record)


def cylinders_of(snapshot: Snapshot, engines: Collection[str]) -> int:
    """Return how many cylinders these engines have together; one that the ledger does not list may have many."""
    names = SentenceParameters()
    rows = current_rows(snapshot, "engine", ("record",), names.among("name", engines), names)
    listed = [len(json.loads(row.record)["cylinders"]) for row in rows]
    return sum(listed) + MOST_CYLINDERS * (len(set(engines)) - len(listed))
