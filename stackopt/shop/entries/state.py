"""Which state a ledger is in: what is remembered of it holds as long as this stays the same."""

from __future__ import annotations

from msgspec import Struct
from sqlalchemy import Connection, select

from stackopt.shop.database.tables import chain


class StateOfLedger(Struct, frozen=True):
    """The number of the last command, 0 for none, and the last link of the chain, which hangs on all that is stored."""

    event: int = 0
    link: str = ""


def state_of(connection: Connection) -> StateOfLedger:
    """Return the state of which a connection sees the rows."""
    newest = connection.execute(select(chain.c.id, chain.c.link).order_by(chain.c.id.desc()).limit(1)).first()
    return StateOfLedger(*newest) if newest is not None else StateOfLedger()
