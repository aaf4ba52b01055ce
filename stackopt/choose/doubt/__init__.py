"""How sure the figures of a chosen cylinder are: intervals, worst case, and how much of the doubt each input makes.

Takes a measured cylinder, what was fitted and the parts; gives intervals and a budget. Decides nothing.
"""
