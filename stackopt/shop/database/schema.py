"""The ledger's version: checked at every opening, brought up to date by Alembic when it is older."""

from __future__ import annotations

from pathlib import Path

from sqlalchemy import Connection, inspect, text

from stackopt.shop.database.faults import refuse
from stackopt.shop.database.version import REVISION


def revision_of(connection: Connection) -> str | None:
    """Return the version of the ledger; None where the database holds no table of a ledger."""
    tables = inspect(connection)
    if not (tables.has_table("alembic_version") and tables.has_table("movement")):
        return None  # another program may keep its version in a table of that name too
    return connection.execute(text("SELECT version_num FROM alembic_version")).scalar()


def is_foreign(connection: Connection) -> bool:
    """Tell whether tables are there, and none of them says it is a ledger."""
    return revision_of(connection) is None and bool(inspect(connection).get_table_names())


def bring_up_to_date(connection: Connection, shown: str) -> None:
    """Make the tables, or apply the changes that are missing, in the transaction of this connection.

    Raises
    ------
    InputError
        When the ledger was made by a newer program.
    """
    # Alembic takes longer to import than most commands take to run, and is needed once in a ledger's version.
    from alembic import command  # noqa: PLC0415
    from alembic.config import Config  # noqa: PLC0415
    from alembic.script import ScriptDirectory  # noqa: PLC0415

    config = Config()
    config.set_main_option("script_location", str(Path(__file__).parents[1] / "migrations").replace("%", "%%"))
    known = {script.revision for script in ScriptDirectory.from_config(config).walk_revisions()}
    revision = revision_of(connection)
    if revision is not None and revision not in known:
        found = f"a ledger of version {revision}"
        mend = "It was made by a newer stackopt. Install that one; nothing was changed."
        raise refuse(shown, found, f"a ledger of version {REVISION} or older", mend)
    config.attributes["connection"] = connection
    command.upgrade(config, "head")
