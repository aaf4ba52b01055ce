"""Files that were dropped on the page, from the drop to what they say.

Takes uploads and what was said of them, gives Books and the first rows as they stand.
They are read in a process of its own, with bounded memory and time.
"""
