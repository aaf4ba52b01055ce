"""Gasket stacks for twin-cylinder engines: what fits, what it costs, what to order.

The house and which way its doors open (a room may use the rooms above it in this list, never those below):

units, problems   text with a unit <-> mm, cm³, degrees, cents; what is wrong in a user's input, as a value
side_by_side      work on all processors
engine            one engine and its arithmetic: readings, quench, compression, spread, levers
parts             what can be fitted and what can be bought; which part may go where
choose            candidate stacks, the linear model, one objective after another, and why
restock           reorder points, lots, and which thicknesses to keep
books             spreadsheets and engine files in and out
shop              the ledger in SQL
report            what people read: tables, sheets, pictures
cli, web          thin shells: read, call one function, print

Lengths are millimetres, volumes cubic centimetres, angles degrees, money whole cents; names end in the unit.
"""
