"""What a file says twice, read twice: out of the rows of a table, and out of an index over them.

Both hold the same cells in different places of the file, so that damage to either makes them differ. A database server
keeps its files itself and chooses where it reads; there the rows that are summed are checked against their seals.
"""

from __future__ import annotations

from collections.abc import Sequence

from stackopt.shop.database.acts import MEASURES, total_sentence
from stackopt.shop.database.faults import damaged
from stackopt.shop.database.snapshot import SentenceParameters, Snapshot, sealed_rows

ROWS = "NOT INDEXED"
BY_PART = "INDEXED BY movement_sums"
BY_ENGINE = "INDEXED BY movement_engine"
BY_ORDER = "INDEXED BY movement_of_order"

# So many rows are checked against their seals in about half a second; all of them are read by `verify`.
SEALED_AT_ONCE = 20_000


def check_sums_agree(snapshot: Snapshot, where: str = "1 = 1", names: SentenceParameters | None = None) -> None:
    """Refuse to go by the sums of parts that come out otherwise of the index than of the movements.

    Raises
    ------
    InputError
        Names the parts.
    """
    _check_sums(
        snapshot, ("part", "branch", "bin"), (BY_PART, ROWS), where, SentenceParameters() if names is None else names
    )


def check_sums_of_engines_agree(snapshot: Snapshot, engines: Sequence[str]) -> None:
    """Refuse to go by what engines hold, wait for and were given, where the ways to it tell otherwise.

    Raises
    ------
    InputError
        Names the parts.
    """
    names = SentenceParameters()
    ways = (BY_ENGINE, BY_PART, BY_ORDER)
    _check_sums(snapshot, ("part", "engine", "purchase", "branch"), ways, names.among("engine", engines), names)


def _check_sums(
    snapshot: Snapshot, keys: Sequence[str], ways: Sequence[str], where: str, names: SentenceParameters
) -> None:
    if not snapshot.is_file:
        _check_seals(snapshot, where, names)
        return
    by, values = ", ".join(keys), names.values
    sums = f"SELECT {by}, COUNT(*), {', '.join(map(total_sentence, MEASURES))} FROM movement"
    found = [set(map(tuple, snapshot.rows(f"{sums} {way} WHERE {where} GROUP BY {by}", values))) for way in ways]
    unlike = found[0].union(*found) - found[0].intersection(*found)
    if unlike:
        parts = sorted({str(row[0]) for row in unlike})
        raise damaged(f"the movements of {', '.join(parts)}")


def _check_seals(snapshot: Snapshot, where: str, names: SentenceParameters) -> None:
    few = f"SELECT id FROM movement WHERE {where} LIMIT {SEALED_AT_ONCE + 1}"
    ((rows,),) = snapshot.rows(f"SELECT COUNT(*) FROM ({few}) AS few", names.values)
    if rows <= SEALED_AT_ONCE:
        sealed_rows(snapshot, "movement", where, names)


def check_search_agrees(snapshot: Snapshot, where: str, names: SentenceParameters) -> None:
    """Refuse to search for parts that fit where the rows give other parts than the index: one would be passed over.

    Raises
    ------
    InputError
        Names them.
    """
    if not snapshot.is_file:
        return
    by_index, by_rows = (
        set(map(tuple, snapshot.rows(f"SELECT id, number FROM part {way} WHERE {where}", names.values)))
        for way in ("INDEXED BY part_fits", ROWS)
    )
    if by_index != by_rows:
        numbers = sorted({str(number) for _, number in by_index ^ by_rows})
        raise damaged(f"what {', '.join(numbers)} fits")
