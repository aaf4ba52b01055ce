"""The answer of `range`: a page on a terminal, or one JSON document.

Takes the kept range with its value, gives rich renderables or plain dictionaries.
`page` and `document` are the ways in.
"""
