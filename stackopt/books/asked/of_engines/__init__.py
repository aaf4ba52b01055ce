"""What stands beside the measures of an engines sheet and could change them: a gasket in place, a bore to come.

Takes the reader of an engines sheet; asks, and refuses the rows in question.
"""
