"""A book against the ledger: what it says otherwise, shown first, then stored as far as it is accepted.

Takes a supply, engines and a stock list's look; gives differences, and appends what was accepted.
"""
