"""Records to books: templates, stock lists, plans, order sheets, marked copies.

Takes records, gives workbooks that people open, print and send; what is read back is read as it was.
Nothing here decides anything.
"""
