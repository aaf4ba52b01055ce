"""In which bins of a branch a part lies, by the names that people use, and what the entries call them.

In the entries the bin that the stock list names is the empty text: a part whose list names another bin from today on
has been carried there. Every other bin is called by its name.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping
from shlex import quote

from stackopt.parts.part_records import InBin
from stackopt.shop.database.bins import USUAL, read_bin_sums
from stackopt.shop.database.faults import refuse
from stackopt.shop.database.snapshot import SentenceParameters, Snapshot, current_rows
from stackopt.shop.entries.branches import MAIN

MOST_LETTERS = 60
NO_BIN = "no bin"


def read_bins(snapshot: Snapshot, parts: Collection[str] | None = None) -> dict[tuple[str, str], str]:
    """Return the bin that the lists name for each part, by part number and the branch as entries call it."""
    names, others = SentenceParameters(), SentenceParameters()
    which = "1 = 1" if parts is None else names.among("number", parts)
    which_other = "1 = 1" if parts is None else others.among("part", parts)
    bins = {(row.number, MAIN): row.bin for row in current_rows(snapshot, "part", ("number", "bin"), which, names)}
    columns = ("part", "branch", "bin")
    return bins | {
        (r.part, r.branch): r.bin for r in current_rows(snapshot, "branch_line", columns, which_other, others)
    }


def bins_of(usual: str, pieces: Mapping[str, int]) -> tuple[InBin, ...]:
    """Return in which bins pieces lie by their names: that of the list first, which is left out where it is empty."""
    named: dict[str, int] = {}
    for code, each in pieces.items():
        name = code or usual
        named[name] = named.get(name, 0) + each
    return tuple(InBin(name, each) for name, each in named.items() if each)


def names_of(bins: Iterable[InBin]) -> str:
    """Return the names of bins as a stock list says two heaps: ``A1; B2``."""
    return "; ".join(each.bin for each in bins if each.bin)


def read_parts_in_bins(
    snapshot: Snapshot, parts: Collection[str] | None = None
) -> dict[tuple[str, str], tuple[InBin, ...]]:
    """Return in which bins parts lie, of those that lie or lay in another than the list's, by part and branch."""
    sums = read_bin_sums(snapshot, parts)
    usual = read_bins(snapshot, {part for part, _ in sums}) if sums else {}
    return {place: bins_of(usual.get(place, ""), pieces) for place, pieces in sums.items()}


def bin_code(snapshot: Snapshot, part: str, branch: str, name: str) -> str:
    """Return what entries call a bin, by its name and the branch as entries call it; it need not be known yet.

    Raises
    ------
    InputError
        When it is no name, or differs from a bin of the branch in capitals alone.
    """
    if not name:
        return USUAL
    if name != name.strip() or not name.isprintable() or len(name) > MOST_LETTERS:
        expected = f"the name of a bin: 1 to {MOST_LETTERS} letters, without spaces before or after it"
        raise refuse("", name[:MOST_LETTERS], expected, "Nothing was stored.")
    usual = read_bins(snapshot)
    if name == usual.get((part, branch)):
        return USUAL
    known = {bin_name for (_, where), bin_name in usual.items() if where == branch}
    known |= {code for (_, where), found in read_bin_sums(snapshot).items() if where == branch for code in found}
    alike = sorted(each for each in known - {name} if each.casefold() == name.casefold())
    if alike and name not in known:
        raise refuse("", name, f"a bin: {alike[0]} is one, and differs in its capitals alone", "Nothing was stored.")
    return name


def check_in_bin(snapshot: Snapshot, place: tuple[str, str], taking: tuple[str, int], lying: Mapping[str, int]) -> None:
    """Refuse to take more pieces out of a bin than lie there.

    Parameters
    ----------
    snapshot
        The ledger.
    place
        The part, and the branch as entries call it.
    taking
        The bin as entries call it, and how many pieces.
    lying
        What lies in which bin of the branch.

    Raises
    ------
    InputError
        Says in which bins they lie.
    """
    code, pieces = taking
    if pieces <= lying.get(code, 0):
        return
    part = place[0]
    usual = read_bins(snapshot, [part]).get(place, "")
    lie = ", ".join(map(str, bins_of(usual, lying))) or "none"
    name = code or usual
    recount = f"stackopt shop count {quote(part)}=N" + (f" --bin {quote(name)}" if name else "")
    mend = f"Nothing was stored. If so many do lie there: {recount}"
    raise refuse(part, lie, f"{pieces} in {name or NO_BIN}", mend)
