"""Where a command reads from: books named with --book, or the shop's ledger.

Takes the options that name them, gives a supply, engines and what the shop has learned.
Books are read side by side with the imports that the answer needs.
"""
