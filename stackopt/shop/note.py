"""Who carries out a command on the ledger, and why."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Note:
    """Who carries out a command, and why."""

    who: str
    why: str = ""
