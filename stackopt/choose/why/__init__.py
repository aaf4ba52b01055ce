"""A choice with its reasons: the next best, who stood back for whom, what would free a blocked engine.

Takes the request and its `Choice`, gives records; what is said of another choice was found by solving again.
`explain` is the way in.
"""
