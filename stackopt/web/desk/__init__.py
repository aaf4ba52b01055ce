"""What the pages work with: the open ledger and what is remembered of it, answers, presses, long solves.

Takes records and presses, gives answers and sheets.
Long work is done by processes of its own.
"""
