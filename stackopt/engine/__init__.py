"""One engine and its arithmetic.

Takes frozen records of an engine and its cylinders (`records`), gives quench, volumes and compression ratio
(`geometry`). Pure functions; nothing here knows of parts, files or a shop.
"""
