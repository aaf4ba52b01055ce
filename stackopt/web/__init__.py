"""The page: the same shop in a browser, for who will not type a command; it works without JavaScript.

Takes presses and typed fields, calls the functions that the commands call, gives pages.
No rule of the trade stands here.
`app.create_app` puts it together; `serving` runs it.
"""
