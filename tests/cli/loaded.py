"""Books loaded into a ledger once a process: tests that begin with the same books begin with a copy of it."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

LEDGER = "stackopt.db"
_LOADED: dict[tuple[str, ...], bytes] = {}


def loaded_once(folder: Path, line: str, run: Callable[[str], object]) -> None:
    """Load the books that a command names, in the folder that the test is in; from the second time on by a copy."""
    ledger = folder / LEDGER
    books = (line, *(path.read_text() for path in sorted(folder.glob("*.csv"))))
    if books not in _LOADED:
        run(line)
        _LOADED[books] = ledger.read_bytes()
    ledger.write_bytes(_LOADED[books])
    ledger.chmod(0o600)
