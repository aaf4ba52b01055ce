"""What people read: an answer as terminal tables or as a JSON document.

Takes the request, the supply and the `Choice`, gives rich renderables (`fitted`, `orders`, `proof`, `page`), the
cautions of the trade (`cautions`), or plain dictionaries and lists (`document`). Nothing here reads a file or decides
anything; `document` does without rich, so that `--json` does not wait for it.
"""
