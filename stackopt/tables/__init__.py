"""The Python surface: books, engines and answers as pandas data frames, measures as pint quantities.

Takes paths, frames, texts with a unit or quantities; gives records of tables whose columns are the names of the JSON
documents.
Calls the functions that the commands call; nothing is decided here. `stackopt/__init__.py` hands its names on.
"""
