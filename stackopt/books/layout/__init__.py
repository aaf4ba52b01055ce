"""A sheet to its tables: which rows are headers, what role each table has, where it ends.

Takes a `Sheet`, gives `sections.Section` values: a `layouts.Layout` and the rows below it. No cell is read here.
"""
