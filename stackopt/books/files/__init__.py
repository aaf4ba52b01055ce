"""A file to its cells, as written, and files written whole or not at all.

Takes paths and bytes (`.xlsx`, `.xls`, `.ods`, delimited text), gives `sheets.Sheet`: cells with their places and what
the file says beside their values (errors, formats, hidden rows). Nothing here knows what a header means.
"""
