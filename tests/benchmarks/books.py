"""How long a price list of 50,000 rows takes to become offers, beside the bare reading of its cells.

``python -m tests.benchmarks.books``: both in one process, the best of several turns, taken one after the other. From
the file to every row checked and every offer made; the aim is at most three times the bare reading.
"""

from __future__ import annotations

import gc
import sys
import tempfile
import time
from collections.abc import Callable
from pathlib import Path

from python_calamine import CalamineWorkbook

from stackopt.books.facts.read import read_books
from tests.benchmarks.fit import write_big_books

TURNS = 7
ROWS = 50_000
AIM = 3


def seconds(work: Callable[[], object]) -> tuple[float, float]:
    """Return the time on the clock, and that of the processors, which a busy machine stretches less."""
    gc.collect()
    clock, processors = time.perf_counter(), time.process_time()
    work()
    return time.perf_counter() - clock, time.process_time() - processors


def bare_cells(path: Path) -> list[list[object]]:
    book = CalamineWorkbook.from_path(path)
    return book.get_sheet_by_index(0).to_python()


def main() -> None:
    """Measure and print a table."""
    with tempfile.TemporaryDirectory() as folder:
        stock, prices = write_big_books(Path(folder))
        parts = read_books([stock]).parts

        def offers() -> int:
            read = read_books([prices], known_parts=parts)
            made = len(read.supply.offers)
            assert (made, read.problems) == (ROWS, ())
            return made

        turns = [(seconds(lambda: bare_cells(prices)), seconds(offers)) for _ in range(TURNS)]
    for place, name in enumerate(("on the clock", "of the processors")):
        bare, whole = (min(turn[what][place] for turn in turns) for what in (0, 1))
        sys.stdout.write(
            f"{name:<18} bare cells {bare:6.3f} s   checked offers {whole:6.3f} s   ratio {whole / bare:4.2f}\n"
        )
    sys.stdout.write(f"aim: a ratio of {AIM} on the clock of a machine at rest\n")


if __name__ == "__main__":
    main()
