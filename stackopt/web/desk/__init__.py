"""What the pages work with: the open ledger, forms as records, answers, presses, long solves.

Takes what was typed, gives records, or Problems with the field they belong to.
Long work is done by processes of its own.
"""
