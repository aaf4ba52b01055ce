"""What the builder asks with pieces in his hand: this stack, does it do; this base, which head gasket does it need.

`hand` reads pieces as they are named, `stacks` tries them with every limit, `heads` makes the table for every base at
hand. Takes an engine, a supply and pieces, gives records; nothing here chooses.
"""
