"""Which thicknesses to keep: the range that builds most engines to come for the money.

Takes past engines and a budget, draws engines to come, gives a range with its value and bound.
`keep` is the way in.
"""
