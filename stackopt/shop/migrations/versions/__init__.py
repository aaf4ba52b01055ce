"""One module a change, named after its number; never edited once a ledger may have been made with it."""
