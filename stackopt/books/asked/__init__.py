"""Questions about whole columns of a table: which column is meant, in which unit it is, what its header stands for.

Takes a `Section` or a `table.Table`, gives it back as its own values or the user's answers settle it. What is open is
asked in the table's inquiry.
"""
