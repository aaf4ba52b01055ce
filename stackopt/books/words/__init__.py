"""Words and single cells to what they mean: headers, roles, units, amounts, dates, yes and no.

Takes one cell or one header with what the sheet says about units and marks, gives a value or a fault.
Nothing here knows of rows; the vocabulary of the trade stands here and nowhere else.
"""
