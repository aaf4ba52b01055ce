"""The engines that the ledger lists."""

from __future__ import annotations

from stackopt.engine.records import Engine
from stackopt.shop.database.faults import refuse
from stackopt.shop.database.snapshot import SentenceParameters, Snapshot, current_rows
from stackopt.shop.entries.recorded import read_as


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
