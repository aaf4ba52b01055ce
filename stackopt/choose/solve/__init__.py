"""Engines and a supply to a proven choice: as one model, or split into groups that share no part.

Takes the jobs and objectives, gives the choice with value and lower bound of every objective.
`plan` is the way in.
"""
