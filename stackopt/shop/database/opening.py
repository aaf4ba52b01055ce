"""Opening a ledger: is there one, is it one, is it of this version."""

from __future__ import annotations

from sqlalchemy import Engine

from stackopt.shop.database.address import Address
from stackopt.shop.database.faults import refuse
from stackopt.shop.database.schema import bring_up_to_date, is_foreign, revision_of
from stackopt.shop.database.transactions import altering, reading
from stackopt.shop.database.version import REVISION

ANOTHER_PLACE = "Nothing in it was touched. Name another place for the ledger: --ledger FILE"
HOW_TO_MAKE = "Make one from your stock list: stackopt shop load BOOK. Or say where it is: --ledger, STACKOPT_LEDGER."


def is_there(address: Address, patience_seconds: float) -> bool:
    """Tell whether a ledger, of whatever version, is where it should be; a file in which nothing is yet is none."""
    if address.path is not None and not address.path.is_file():
        return False
    with reading(address.connect(patience_seconds=patience_seconds), address.shown) as connection:
        return revision_of(connection) is not None


def open_existing(address: Address, patience_seconds: float) -> Engine:
    """Return what opens connections to a ledger that must be there."""
    if address.path is not None and not address.path.is_file():
        raise refuse(address.shown, "", "a ledger", HOW_TO_MAKE)
    database = address.connect(patience_seconds=patience_seconds)
    with reading(database, address.shown) as connection:
        revision = revision_of(connection)
        if revision is None:
            if is_foreign(connection):
                raise refuse(address.shown, "the tables of another program", "a ledger", ANOTHER_PLACE)
            raise refuse(address.shown, "nothing", "a ledger", HOW_TO_MAKE)
    if revision != REVISION:
        _alter(database, address)
    return database


def make(address: Address, patience_seconds: float) -> Engine:
    """Return what opens connections to a ledger, made empty where there is nothing yet."""
    database = address.connect(create=True, patience_seconds=patience_seconds)
    with reading(database, address.shown) as connection:
        revision, foreign = revision_of(connection), is_foreign(connection)
    if foreign:
        raise refuse(address.shown, "the tables of another program", "a ledger, or nothing yet", ANOTHER_PLACE)
    if revision != REVISION:
        _alter(database, address)
    return database


def _alter(database: Engine, address: Address) -> None:
    with altering(database, address.shown) as connection:
        bring_up_to_date(connection, address.shown)
