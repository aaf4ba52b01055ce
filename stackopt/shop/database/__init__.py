"""The database behind the ledger: addresses, opening, tables, transactions, faults.

Takes an address, gives connections and rows; SQLite in a file or PostgreSQL by URL.
Every table is append-only.
"""
