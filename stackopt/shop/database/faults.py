"""What the database can say no with, as problems that a user can mend."""

from __future__ import annotations

import re
from typing import Any

from stackopt.problems import InputError, Place, Problem

STORED_NOTHING = "Nothing was stored. "
LOCKED = ("a ledger that nobody keeps locked", f"{STORED_NOTHING}Try again when the other program has finished.")
FULL = ("room on the disk", f"{STORED_NOTHING}Free some room and try again.")
READ_ONLY = ("a ledger that may be written", f"{STORED_NOTHING}Give yourself the right to write it, or ask who may.")
DAMAGED = (
    "a whole ledger",
    "The file is damaged. Keep it; `stackopt shop verify` tells what is. Go on with the newest file that "
    "`stackopt shop backup` wrote: `stackopt shop restore FILE` with another --ledger.",
)
UNREACHABLE = ("a ledger that can be opened", "Check that the path or the address is right and that you may open it.")

TOO_LARGE = ("a number that a database can hold, up to 2,147,483,647", f"{STORED_NOTHING}Correct the number.")
NO_TEXT = ("text in UTF-8", f"{STORED_NOTHING}Write the name anew, or mend the file that it comes from.")

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
    "SQLITE_IOERR": ("a disk that can be read and written", f"{STORED_NOTHING}Check the disk."),
}

# By SQLSTATE, PostgreSQL documentation, appendix A.
POSTGRESQL_FAULTS: dict[str, tuple[str, str]] = {
    "55P03": LOCKED,
    "40P01": LOCKED,
    "53100": FULL,
    "25006": READ_ONLY,
    "42501": READ_ONLY,
    "22003": TOO_LARGE,
}

# ana:word@host, however many strokes stand before it, and password=word; a password may hold an @ of its own.
_BEFORE_HOST = re.compile(r"(:/{1,3}[^/@:\s]*):[^/\s]*@")
_AS_OPTION = re.compile(r"((?:password|passfile|sslpassword)\s*=\s*)('[^']*'|[^&\s']+)", re.IGNORECASE)


def without_password(text: str) -> str:
    """Return a text with *** in place of the passwords of the addresses in it."""
    return _AS_OPTION.sub(r"\1***", _BEFORE_HOST.sub(r"\1:***@", text))


def refuse(place: str, found: str, expected: str, mend: str = "") -> InputError:
    """Return the error to raise when a command cannot be carried out on a ledger."""
    return InputError(Problem(Place(without_password(place)), without_password(found), expected, mend))


def damaged(found: str) -> InputError:
    """Return the error to raise when something stored does not come to what it came to when it was written."""
    return refuse("the ledger", f"{found}, which is not as it was written", *DAMAGED)


def fault_of(shown: str, fault: Any, *, reading: bool = False) -> InputError:
    """Return the error to raise when a database's driver reports a fault: what it means, and how to go on."""
    expected, mend = _meaning(fault)
    return refuse(shown, " ".join(str(fault).split()), expected, mend.replace(STORED_NOTHING, "") if reading else mend)


def _meaning(fault: Any) -> tuple[str, str]:
    if isinstance(fault, OverflowError):
        return TOO_LARGE
    if isinstance(fault, UnicodeError):
        return NO_TEXT
    if "Could not decode to UTF-8" in str(fault):
        return DAMAGED
    name = getattr(fault, "sqlite_errorname", None)
    if name is not None:
        return next((meaning for start, meaning in SQLITE_FAULTS.items() if name.startswith(start)), UNREACHABLE)
    return POSTGRESQL_FAULTS.get(getattr(fault, "sqlstate", None) or "", UNREACHABLE)
