"""What to reorder: needs, reorder points and one order a supplier, each line with its reason.

Takes a supply, usage and what open engines lack, gives `restock_records` of what is proposed.
`answer` is the way in.
"""
