"""What the shop's own record says, for people and as JSON: the board of engines.

Takes records of `choose.built`; knows neither the ledger nor the books.
"""
