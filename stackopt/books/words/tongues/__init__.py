"""What headers and kinds of parts are called in other languages than English.

Gives words in the plain form of `headers.plain_words`: lower case, abbreviations spelled out, fillers taken off. They
are everyday words of workshops and their suppliers (common practice, no source).
"""
