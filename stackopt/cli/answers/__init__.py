"""The commands that answer: `fit`, `plan`, `restock`, `range`.

Each takes its options as one record, calls one function, and prints a page or one JSON document.
No rule of the trade stands here.
"""
