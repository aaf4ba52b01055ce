"""Several branches of one shop: naming them, how long a transfer takes, and pieces that go from one to another.

A piece lies on the shelf of one branch, and every movement says at which; the sums over a part are those over its
branches added up. A shop has one branch until it names more, and nothing is different for it. Pieces that are sent to
another branch leave the one shelf, are under way like an order's, and are promised on the way to whom they were held
for; the receiving branch takes them in as it takes in any order. What is held for an engine at another branch than the
one where it is built is what has to be sent: `due` lists it, nobody has to ask for it.
"""
