"""Rows of the ledger to records and back, and the rule that no sum falls below zero.

Takes rows or records, gives the other; a refusal names who has the pieces.
`balances` holds the one rule.
"""
