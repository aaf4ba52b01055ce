"""Mutated books by the thousand: ``python -m tests.books.mutated --books 10000``.

Clean and ugly books of every kind of file, their bytes or their cells changed. Each must end without a traceback, and
without a wrong fact: what comes out stands in a cell of the rows that speak of it (`tests.books.standing`), and what
untouched rows say comes out as before, or a problem says why not. `.ods` and `.xls` books come from LibreOffice and are
left out, with a word, where it is not installed. What fails is kept, with its seed, in the folder named by ``--keep``.
"""

from __future__ import annotations

import argparse
import random
import shutil
import sys
import tempfile
import time
import traceback
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass, field
from pathlib import Path

from stackopt.books.facts.book_records import Books
from stackopt.books.facts.read import examine_books
from tests.books.mutations import Mutated, clean_pages, mutate_bytes, mutate_cells
from tests.books.office import SOFFICE, saved
from tests.books.standing import invented, rows_of
from tests.books.stated_facts import made_up_shops
from tests.books.test_round_trip import rounded
from tests.books.ugly import Taste, pages, write_delimited, write_workbook

SHOPS = 40


@dataclass
class Bases:
    """Whole books: shops, and files of them by kind."""

    shops: list[Books]
    files: dict[str, list[Path]] = field(default_factory=dict)

    @classmethod
    def made(cls, folder: Path, shops: int = SHOPS) -> Bases:
        """Make clean and ugly books of the same shops in every run."""
        bases = cls(made_up_shops(shops))
        paths, texts = [], []
        for number, shop in enumerate(bases.shops):
            taste = Taste(random.Random(number), workbook=True)
            paths.append(folder / f"book{number:02}.xlsx")
            write_workbook(paths[-1], clean_pages(shop) if number % 2 else pages(shop, taste))
            (folder / str(number)).mkdir()
            texts += write_delimited(folder / str(number), clean_pages(shop), taste.dice)
        bases.files = {"xlsx": paths, "csv": texts}
        for kind in ("ods", "xls"):
            if SOFFICE is not None:
                bases.files[kind] = [path for files in saved(paths, kind, folder / kind) for path in files]
        return bases


@dataclass
class Tally:
    """What came of the books."""

    books: Counter[str] = field(default_factory=Counter)
    faults: list[str] = field(default_factory=list)
    slowest_seconds: float = 0.0


def mutate(bases: Bases, seed: int, folder: Path) -> tuple[Mutated, Books | None]:
    """Make the mutated book of a seed; the second is what was said, where rows not touched must still say it."""
    dice = random.Random(seed)
    if dice.random() < 0.5:
        return mutate_bytes(dice.choice(bases.files[dice.choice(sorted(bases.files))]), folder, dice), None
    shop = dice.choice(bases.shops)
    mutated = mutate_cells(shop, folder, dice)
    return mutated, None if mutated.touched is None else shop


def faults_of(mutated: Mutated, said: Books | None, tally: Tally) -> list[str]:
    """Read a mutated book and return what must not be."""
    started = time.perf_counter()
    try:
        read = examine_books(mutated.paths)
        found = (read.parts, read.supply.offers, read.engines, read.suppliers, read.kits, read.usage, read.services)
        facts = sum(map(len, found))
    except BaseException:  # noqa: BLE001 - whatever it is, a panic of the Rust reader too, is what is looked for
        return [traceback.format_exc()]
    tally.slowest_seconds = max(tally.slowest_seconds, time.perf_counter() - started)
    tally.books["refused as a whole" if not facts and read.refused else "gave facts" if facts else "gave nothing"] += 1
    tally.books["gave problems by row"] += bool(read.problems)
    tally.books["facts"] += facts
    rows = [row for path in mutated.paths for row in rows_of(path)] if facts else []
    lost = [] if said is None else _lost(read, said, mutated.touched or set())
    return [*(f"stands nowhere: {fact}" for fact in invented(read, rows)), *lost]


def _lost(read: Books, said: Books, touched: set[str]) -> list[str]:
    """Return the parts of untouched rows that are gone or otherwise, where no problem says so."""
    if read.refused or any(not question.concerns_rows for question in read.questions):
        return []
    blamed = " ".join(map(str, read.problems))
    return [
        f"lost or changed: {part} is {read.parts.get(number)}, {read.stock.get(number)}"
        for number, part in said.supply.parts.items()
        if number not in touched and number not in blamed
        and rounded((read.parts.get(number), read.stock.get(number)))
        != rounded((part, said.supply.stock.get(number)))
    ]  # fmt: skip


def run(bases: Bases, seeds: Sequence[int], keep: Path | None = None) -> Tally:
    """Mutate and read a book for each seed."""
    tally = Tally()
    for seed in seeds:
        with tempfile.TemporaryDirectory() as name:
            mutated, said = mutate(bases, seed, Path(name))
            faults = faults_of(mutated, said, tally)
            tally.books["all"] += 1
            tally.books[mutated.paths[0].suffix] += 1
            tally.faults += [f"seed {seed},{mutated.done}: {fault}" for fault in faults]
            if faults and keep is not None:
                shutil.copytree(name, keep / str(seed), dirs_exist_ok=True)
    return tally


def main() -> None:
    """Mutate so many books and print what came of them; exit code 1 where anything was wrong."""
    parser = argparse.ArgumentParser()
    parser.add_argument("--books", type=int, default=10_000)
    parser.add_argument("--first", type=int, default=0, help="the first seed")
    parser.add_argument("--keep", type=Path, help="folder for the books that fail")
    asked = parser.parse_args()
    with tempfile.TemporaryDirectory() as folder:
        tally = run(Bases.made(Path(folder)), range(asked.first, asked.first + asked.books), asked.keep)
    if SOFFICE is None:
        sys.stdout.write("LibreOffice is not installed: no .ods and .xls books.\n")
    sys.stdout.writelines(f"{name:<22} {count:>8}\n" for name, count in sorted(tally.books.items()))
    sys.stdout.write(f"{'slowest':<22} {tally.slowest_seconds:8.2f} s\n{'faults':<22} {len(tally.faults):>8}\n")
    sys.stdout.writelines(f"{fault}\n" for fault in tally.faults[:40])
    raise SystemExit(1 if tally.faults else 0)


if __name__ == "__main__":
    main()
