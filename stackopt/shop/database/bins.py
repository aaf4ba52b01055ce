"""Pieces of one part in several bins of a branch: what a movement takes from a bin that has less comes from the others.

The empty text stands for the bin that the stock list names, whatever its name is by now; there lies what nobody put
elsewhere. Few parts lie elsewhere too, so that everything else asks for one sum a branch.
"""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping

from stackopt.shop.database.acts import total_sentence
from stackopt.shop.database.snapshot import SentenceParameters, Snapshot

# The bin that the stock list names.
USUAL = ""

# Pieces by bin: the usual one first, then by name. By part number and branch, of those that lie in others as well.
Bins = dict[tuple[str, str], dict[str, int]]


def read_bin_sums(snapshot: Snapshot, parts: Collection[str] | None = None) -> Bins:
    """Return how many pieces lie in each bin, of parts that at some time lay in another than the usual one.

    Parameters
    ----------
    snapshot
        The ledger at one moment.
    parts
        Of these alone; None: of all.
    """
    elsewhere = {part for (part,) in snapshot.rows("SELECT DISTINCT part FROM movement WHERE bin <> ''", {})}
    names = SentenceParameters()
    asked = sorted(elsewhere if parts is None else elsewhere.intersection(parts))
    if not asked:
        return {}
    where = names.among("part", asked)
    on_hand = total_sentence("on_hand")
    sentence = f"SELECT part, branch, bin, {on_hand} FROM movement WHERE {where} GROUP BY part, branch, bin"
    bins: Bins = {}
    for part, branch, name, pieces in sorted(map(tuple, snapshot.rows(sentence, names.values))):
        if pieces or name == USUAL:
            bins.setdefault((part, branch), {})[name] = int(pieces)
    return {place: found for place, found in bins.items() if found.keys() != {USUAL}}


def made_up(bins: Mapping[str, int]) -> Iterator[tuple[str, int]]:
    """Yield what moves between the bins of one part so that none has less than nothing: the usual one gives first.

    Of the others the one with the fewest pieces, so that it is empty the sooner.
    """
    lacking = {name: -pieces for name, pieces in bins.items() if pieces < 0}
    givers = sorted((name != USUAL, pieces, name) for name, pieces in bins.items() if pieces > 0)
    for name, lack in lacking.items():
        left = lack
        for place, (other, pieces, giver) in enumerate(givers):
            taken = min(left, pieces)
            if taken:
                left -= taken
                givers[place] = (other, pieces - taken, giver)
                yield giver, -taken
                yield name, taken
