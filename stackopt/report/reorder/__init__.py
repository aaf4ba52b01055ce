"""The answer of `restock`: a page on a terminal, or one JSON document.

Takes what is proposed, gives rich renderables or plain dictionaries.
`page` and `document` are the ways in.
"""
