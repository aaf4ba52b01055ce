"""A sheet to its table: which row holds the headers, which rows mean something, what each column holds.

Takes a `Sheet`, gives a `table.Table` with the cells of each known column, and says what was passed over.
Nothing here knows what a part or an offer is.
"""
