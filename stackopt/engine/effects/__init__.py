"""All that comes out of one stack on one cylinder: motion, clearances, heat, and the limits they must keep.

Takes a cylinder and thicknesses, gives figures in mm, cm³ and degrees.
Formulas stand beside their source.
"""
