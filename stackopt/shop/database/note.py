"""Who carries out a command on the ledger, and why."""

from __future__ import annotations

from msgspec import Struct


class Note(Struct, frozen=True):
    """Who carries out a command, and why."""

    who: str
    why: str = ""
