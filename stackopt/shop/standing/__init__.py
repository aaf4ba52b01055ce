"""How things stand in the ledger: engines, orders, supply, usage and history, read out of the entries.

Takes a connection or a snapshot, gives records; nothing here stores anything.
`supplying` and `engine_list` need no SQLAlchemy, so that `fit` starts fast.
"""
