"""Answers as pictures.

Takes the same records as the pages, gives a file written whole or not at all.
`pictures` holds what all of them share.
"""
