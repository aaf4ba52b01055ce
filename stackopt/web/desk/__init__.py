"""What the pages work with: the open ledger, forms as records, answers, long solves and dropped spreadsheets.

Takes what was typed or dropped, gives records, or Problems with the field they belong to.
Long work is done by processes of its own.
"""
