"""How fast parts leave the shelf, and how long deliveries take: both as chances, learned from the shop's record.

Takes usage and deliveries, gives for each part the chance of every number of pieces asked for in a lead time.
`estimate` is the way in; `leads` tells lead times.
"""
