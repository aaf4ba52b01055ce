"""Engine files: one engine as a TOML text, read into an `Engine` or Problems.

Takes the text, gives checked records; every key is read by a reader that states its unit.
`engine_file` is the way in.
"""
