"""What can be done beyond gaskets: cuts, a spacer, another piston, and how much of each is needed.

Takes a cylinder, its windows and a lever, gives the amounts that can matter.
Whatever a lever moves is linear in its amount.
"""
