"""Who may come in, and with what: the address asked for, the passphrase, forms that this page itself gave out.

Takes requests, lets them through or refuses them; keeps the shop's own settings.
Nothing here knows an engine or a part.
"""
