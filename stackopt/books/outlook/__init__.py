"""Outlook files: what engines are to come, as a TOML text that may lean on a book of past ones.

Takes a path, gives a checked `Outlook` or Problems. `outlook_file` is the way in.
"""
