"""What could be fitted: every stack of base and head gasket, and of work, that keeps all rules of the trade.

Takes engines, parts and sources, gives the candidate stacks of each cylinder with their figures.
Whatever is not linear is decided here, stack by stack.
"""
