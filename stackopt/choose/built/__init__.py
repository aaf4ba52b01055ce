"""What was built: the record of one build, and what its measured quench says about the pieces.

Takes a choice and the measurements at mock-up, gives a `build.Build` and learned thicknesses.
The ledger keeps these records; nothing here stores anything.
"""
