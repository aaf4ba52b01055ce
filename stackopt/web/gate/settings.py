"""What the shop says of itself, kept beside the ledger: its name, its people, its units, the passphrase's hash.

It is no part of the ledger: a copy of the ledger that is given away gives no passphrase away.
"""

from __future__ import annotations

import os
import secrets
import tempfile
from pathlib import Path

import msgspec
from msgspec import Struct

from stackopt.problems import InputError, Place, Problem

FILE_ENDING = ".page.json"


class ShopSettings(Struct, frozen=True):
    """The shop's own settings.

    `units` is mm or inch: which comes first. `customer_numbers` go by supplier. `passphrase_hash` is
    empty where none is set; `secret` signs what a browser keeps.
    """

    name: str = ""
    address: str = ""
    customer_numbers: dict[str, str] = {}
    units: str = "mm"
    people: tuple[str, ...] = ()
    passphrase_hash: str = ""
    secret: str = ""


def settings_file(ledger: str) -> Path:
    """Return where the settings of a ledger's shop lie: beside its file, or here where it is a database by URL."""
    return Path(f"stackopt{FILE_ENDING}") if "://" in ledger else Path(f"{ledger}{FILE_ENDING}")


def read_settings(file: Path) -> ShopSettings:
    """Return the settings; new ones, with a secret of their own, where there are none yet.

    Raises
    ------
    InputError
        When the file cannot be read.
    """
    try:
        return msgspec.json.decode(file.read_bytes(), type=ShopSettings)
    except FileNotFoundError:
        return ShopSettings(secret=secrets.token_hex(32))
    except (OSError, msgspec.DecodeError) as error:
        mend = "Put it right, or move it away: the page then begins with new settings."
        raise InputError(Problem(Place(str(file)), str(error), "the settings of the shop's page", mend)) from None


def write_settings(file: Path, settings: ShopSettings) -> None:
    """Write the settings whole or not at all, for the owner of the account alone.

    Raises
    ------
    InputError
        When the place cannot be written.
    """
    try:
        handle, written = tempfile.mkstemp(dir=file.absolute().parent, prefix=f".{file.name}.")
        with os.fdopen(handle, "wb") as stream:
            stream.write(msgspec.json.format(msgspec.json.encode(settings)))
        os.replace(written, file)
    except OSError as error:
        found = f"a place that cannot be written ({error.strerror})"
        raise InputError(Problem(Place(str(file)), found, "a folder that can be written")) from None
