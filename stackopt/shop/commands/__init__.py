"""What the shop does: load, count, hold, order, receive, fit, measure, take back.

Each takes an open connection and what is asked, appends entries, and lets `balances` check the sums.
`ledger.Ledger` opens the transaction around each.
"""
