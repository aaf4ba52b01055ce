"""Schema changes of the ledger, in order; Alembic applies them, `stackopt.shop.schema` asks for it."""
