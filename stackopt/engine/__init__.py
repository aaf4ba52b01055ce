"""One engine and its arithmetic: pure functions over frozen records. Nothing here knows of parts, files or a shop.

Takes measures in mm, cm³ and degrees. Gives deck heights, quench and ratio, how sure they are, and what a cut, a spacer
or another piston would do. `engine_records` has the engine; `readings`, `effects` and `levers` are the inner rooms.
"""
