"""The linear model: its variables, constraints and objectives, and the solver behind it.

Takes candidate stacks and a supply, gives a program that is solved one objective after another, and an outcome.
`solver` alone talks to PuLP and HiGHS.
"""
