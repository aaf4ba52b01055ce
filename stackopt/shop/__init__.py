"""The shop's own record: a ledger of movements that never loses or double-promises a part.

The only room that knows SQL (SQLAlchemy Core, migrations by Alembic); SQLite in a file, or PostgreSQL by URL.
Takes a supply, engines and choices; gives back a supply, the open engines, orders, build records and the history.
Every table is append-only: on hand, held, free and on order are sums over movements, what is current is the newest
row of its key, and a correction is a further row. A movement says at which of the shop's branches its pieces lie.
`ledger.Ledger` is the way in; importing it imports SQLAlchemy.
"""
