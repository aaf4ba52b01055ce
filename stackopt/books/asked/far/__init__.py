"""What stands far from all others of its list, each asked about: thicknesses, amounts of money and of pieces, days.

Takes the reader of a table and how a column is read; gives a way to read it that raises the question.
"""
