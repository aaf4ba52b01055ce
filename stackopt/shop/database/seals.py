"""Seals: a number beside every row that its cells must come to, and a chain over the rows of all events.

A seal is the first 56 bits of BLAKE2b over the cells; a link of the chain is SHA-256 over the link before and the
seals of one event's rows. A flipped bit breaks a seal, a row that was changed, added or removed breaks the chain. The
change of tables that brought seals uses these functions: what they give for a row must stay the same.
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Iterable, Mapping
from typing import Any

SEAL = "seal"
DIGEST_BYTES = 7  # so that a seal is a positive whole number of 64 bits

Link = tuple[str, int, int]  # table, row, seal
# Columns that came after rows had been sealed, with what went without saying before: a seal leaves that out.
UNSAID: Mapping[tuple[str, str], Any] = {
    ("movement", "branch"): "",
    ("movement", "bin"): "",
    ("branch", "code"): "",
    ("purchase_step", "day"): "",
}


def seal_of(table: str, row: Mapping[str, Any]) -> int:
    """Return the seal of a row, whether its cells come from the program or from a database."""
    cells = [table, *(_plain(row[name]) for name in sorted(row) if name != SEAL and not _unsaid(table, name, row))]
    text = json.dumps(cells, ensure_ascii=False, separators=(",", ":"))
    return int.from_bytes(hashlib.blake2b(text.encode("utf-8", "replace"), digest_size=DIGEST_BYTES).digest())


def _unsaid(table: str, name: str, row: Mapping[str, Any]) -> bool:
    return (table, name) in UNSAID and bool(row[name] == UNSAID[table, name])


def _plain(cell: Any) -> Any:
    """Return a cell as every database gives it back: true and false as 1 and 0."""
    return int(cell) if isinstance(cell, bool) else cell


def next_link(before: str, rows: Iterable[Link]) -> str:
    """Return the link of the chain that an event with these rows adds."""
    text = json.dumps([before, *sorted(rows)], separators=(",", ":"))
    return hashlib.sha256(text.encode()).hexdigest()
