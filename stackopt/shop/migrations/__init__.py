"""Schema changes of the ledger, in order; Alembic applies them, `stackopt.shop.database.schema` asks for it."""
