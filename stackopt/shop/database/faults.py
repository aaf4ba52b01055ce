"""What the database can say no with, as problems that a user can mend."""

from __future__ import annotations

from typing import Any

from stackopt.problems import InputError, Place, Problem

LOCKED = ("a ledger that nobody keeps locked", "Nothing was stored. Try again when the other program has finished.")
FULL = ("room on the disk", "Nothing was stored. Free some room and try again.")
READ_ONLY = ("a ledger that may be written", "Nothing was stored. Give yourself the right to write it, or ask who may.")
DAMAGED = (
    "a whole ledger",
    "The file is damaged. Keep it, and go on with the newest file that `stackopt shop backup` wrote.",
)
UNREACHABLE = ("a ledger that can be opened", "Check that the path or the address is right and that you may open it.")

# By the start of SQLite's name for the fault, https://www.sqlite.org/rescode.html.
SQLITE_FAULTS: dict[str, tuple[str, str]] = {
    "SQLITE_BUSY": LOCKED,
    "SQLITE_LOCKED": LOCKED,
    "SQLITE_FULL": FULL,
    "SQLITE_READONLY": READ_ONLY,
    "SQLITE_PERM": READ_ONLY,
    "SQLITE_NOTADB": DAMAGED,
    "SQLITE_CORRUPT": DAMAGED,
    "SQLITE_IOERR_SHORT_READ": DAMAGED,
    "SQLITE_CANTOPEN": UNREACHABLE,
    "SQLITE_IOERR": ("a disk that can be read and written", "Nothing was stored. Check the disk."),
}

# By SQLSTATE, PostgreSQL documentation, appendix A.
POSTGRESQL_FAULTS: dict[str, tuple[str, str]] = {
    "55P03": LOCKED,
    "40P01": LOCKED,
    "53100": FULL,
    "25006": READ_ONLY,
    "42501": READ_ONLY,
}


def refuse(place: str, found: str, expected: str, mend: str = "") -> InputError:
    """Return the error to raise when a command cannot be carried out on a ledger."""
    return InputError(Problem(Place(place), found, expected, mend))


def fault_of(shown: str, fault: Any) -> InputError:
    """Return the error to raise when a database's driver reports a fault: what it means, and how to go on."""
    expected, mend = _meaning(fault)
    return refuse(shown, " ".join(str(fault).split()), expected, mend)


def _meaning(fault: Any) -> tuple[str, str]:
    name = getattr(fault, "sqlite_errorname", None)
    if name is not None:
        return next((meaning for start, meaning in SQLITE_FAULTS.items() if name.startswith(start)), UNREACHABLE)
    return POSTGRESQL_FAULTS.get(getattr(fault, "sqlstate", None) or "", UNREACHABLE)
