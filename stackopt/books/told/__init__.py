"""What was read, told: as one document for programs, and as pages of text for people.

Takes `records.Books`, gives a dictionary or lines of text. Nothing here reads or decides anything.
"""
