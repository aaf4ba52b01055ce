"""What to reorder, and which thicknesses to keep.

`restock` takes a supply, usage and what open engines lack and gives reorder points (`points`), lots (`lots`) and one
order per supplier (`joint`), each line with its reason in words (`why`). `range` takes past engines, draws engines to
come (`outlook`) and finds the range of parts that builds most of them for the money (`keep`).
"""

from stackopt.stocking.reorder.answer import restock

__all__ = ["restock"]
