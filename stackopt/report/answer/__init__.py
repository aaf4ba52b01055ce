"""The answer of `fit` and `plan`: a page on a terminal, or one JSON document.

Takes the request, the supply and the `Choice`, gives rich renderables or plain dictionaries.
`page` and `document` are the ways in.
"""
