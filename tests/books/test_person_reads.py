"""Cells as people write them, one in a row: read as a person reads them, or asked about; never something else."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from pathlib import Path

import pytest

from stackopt.books.facts.book_records import Books
from stackopt.books.facts.read import examine_books
from tests.books.building import Rows, xlsx
from tests.books.person_reads import (
    ASKED,
    COUNTS,
    NOTHING,
    PRICES,
    THICKNESSES,
    Reading,
    Way,
    WrittenCell,
    written_cells,
)
from tests.full import usual_or_full

CELLS = usual_or_full(450, 4000)
A_BOOK = 45


def stock_of(cells: Sequence[WrittenCell]) -> Rows:
    header = ("Part number", "Kind", "Fits", "Thickness (mm)", "On hand")
    telling = ("HG-1", "head gasket", "KV", 0.8, "3.0")
    return [header, *((f"BG-{at}", "base gasket", "KV", 0.5, one.cell) for at, one in enumerate(cells)), telling]


def gaskets_of(cells: Sequence[WrittenCell]) -> Rows:
    header = ("Part number", "Kind", "Fits", "Thickness (mm)", "On hand")
    # Other rows tell that figures are usual in mm.
    rest = [(f"HG-{at}", "head gasket", "KV", 0.6 + at / 100, 1) for at in range(30)]
    return [header, *((f"BG-{at}", "base gasket", "KV", one.cell, 4) for at, one in enumerate(cells)), *rest]


def offers_of(cells: Sequence[WrittenCell]) -> Rows:
    header = ("Supplier", "Part number", "Kind", "Fits", "Thickness (mm)", "Price", "Lead days")
    rest = [("Varnik", f"HG-{at}", "head gasket", "KV", 0.8, f"€ {at + 10}.50", 3) for at in range(30)]
    rows = (("Varnik", f"BG-{at}", "base gasket", "KV", 0.5, one.cell, 3) for at, one in enumerate(cells))
    return [header, *rows, *rest]


def counts(books: Books) -> dict[str, float]:
    return {part: float(line.on_hand) for part, line in books.stock.items()}


def thicknesses(books: Books) -> dict[str, float]:
    return {part: books.parts[part].thickness_mm for part in books.stock}


def prices(books: Books) -> dict[str, float]:
    return {offer.part: float(offer.tiers[0].price_cents) for offer in books.supply.offers}


Kind = tuple[tuple[Way, ...], Callable[[Sequence[WrittenCell]], Rows], Callable[[Books], dict[str, float]]]
KINDS: dict[str, Kind] = {
    "counts": (COUNTS, stock_of, counts),
    "thicknesses": (THICKNESSES, gaskets_of, thicknesses),
    "prices": (PRICES, offers_of, prices),
}


def wrong(
    cells: Iterable[WrittenCell], read: dict[str, float], told: str
) -> list[tuple[object, Reading, float | None]]:
    """Return the cells that are read otherwise than by a person, or left out untold: cell, his reading, ours."""
    found = []
    for at, one in enumerate(cells):
        ours = read.get(f"BG-{at}")
        if isinstance(one.reads, float):
            agrees = ours == pytest.approx(one.reads, abs=1e-9)
        else:
            # An empty count is none on the shelf, or it is asked for.
            is_told = one.reads == NOTHING or " ".join(str(one.cell).split()) in told
            agrees = (ours is None and is_told) or (one.reads == NOTHING and ours == 0)
        if not agrees:
            found.append((one.cell, one.reads, ours))
    return found


@pytest.mark.parametrize("kind", KINDS)
def test_every_cell_is_read_as_a_person_reads_it_or_asked_about(tmp_path: Path, kind: str) -> None:
    ways, laid_out, said = KINDS[kind]
    different: dict[str, tuple[object, Reading, float | None]] = {}
    everything = list(written_cells(ways, CELLS, seed=17))
    for number, begin in enumerate(range(0, CELLS, A_BOOK)):
        cells = everything[begin : begin + A_BOOK]
        books = examine_books([xlsx(tmp_path / f"{number}.xlsx", {"S": laid_out(cells)})])
        assert not books.refused
        told = "\n".join(one.found for one in (*books.questions, *books.problems))
        for cell, reads, ours in wrong(cells, said(books), told):
            different[str(cell)] = (cell, reads, ours)
    assert different == {}


def test_a_wrong_reading_is_found_out() -> None:
    cells = [WrittenCell("4/2", ASKED), WrittenCell("3", 3.0), WrittenCell("", NOTHING)]
    assert wrong(cells, {"BG-0": 2.0, "BG-1": 3.0, "BG-2": 0.0}, "4/2") == [("4/2", ASKED, 2.0)]
    assert wrong(cells, {"BG-1": 4.0}, "4/2") == [("3", 3.0, 4.0)]
    assert wrong(cells, {"BG-1": 3.0}, "") == [("4/2", ASKED, None)]
