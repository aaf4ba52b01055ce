"""The sums of the shelf, worked out twice in a file: out of the index and out of the movements themselves.

Both hold the same cells in different places of the file, so that damage to either makes them differ.
"""

from __future__ import annotations

from stackopt.shop.database.acts import total_sentence
from stackopt.shop.database.faults import damaged
from stackopt.shop.database.snapshot import Names, Snapshot


def check_sums_agree(snapshot: Snapshot, where: str = "1 = 1", names: Names | None = None) -> None:
    """Refuse to go by the sums of parts that come out otherwise of the index than of the movements.

    A database server keeps its files itself.

    Raises
    ------
    InputError
        Names the parts.
    """
    if not snapshot.is_file:
        return
    values = {} if names is None else names.values
    sums = f"SELECT part, COUNT(*), {total_sentence('on_hand')}, {total_sentence('held')} FROM movement"
    by_index, by_rows = (
        set(map(tuple, snapshot.rows(f"{sums} {how} WHERE {where} GROUP BY part", values)))
        for how in ("INDEXED BY movement_sums", "NOT INDEXED")
    )
    if by_index != by_rows:
        parts = sorted({str(row[0]) for row in by_index ^ by_rows})
        raise damaged(f"the movements of {', '.join(parts)}")
