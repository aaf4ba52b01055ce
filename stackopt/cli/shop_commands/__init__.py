"""The commands below `stackopt shop`: the ledger on the command line.

Each takes its options, opens the ledger, calls one of its methods, and says what happened.
No rule of the trade stands here.
"""
