"""Tables to checked records: parts, offers, suppliers, kits, usage, engines.

Takes the tables of all books together, gives `records.Books` with its Problems: duplicates merged, conflicts named.
`read` is the way in.
"""
