"""Everything that books hold, as records by role and as one written workbook."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from stackopt.books.facts.book_records import Books
from stackopt.books.out.book_out import write_roles
from stackopt.books.out.engines import Bored
from stackopt.books.out.offers import offered
from stackopt.books.out.parts import shelved
from stackopt.books.out.terms import packed
from stackopt.books.words.vocabulary import Role


def records_by_role(books: Books) -> dict[Role, Sequence[object]]:
    """Return what books hold as the records that are written, by role."""
    supply = books.supply
    return {
        Role.STOCK: shelved(supply),
        Role.OFFERS: offered(supply),
        Role.SUPPLIERS: list(supply.suppliers.values()),
        Role.KITS: packed(supply),
        Role.ENGINES: [Bored(engine, cylinder) for engine in books.engines for cylinder in engine.cylinders],
        Role.USAGE: books.usage,
        Role.SERVICES: books.services,
    }


def write_book(path: Path, books: Books, *, replace: bool) -> None:
    """Write everything that books hold into one `.xlsx` book, a sheet a role; roles without a record are left out."""
    write_roles(path, {role: rows for role, rows in records_by_role(books).items() if rows}, replace=replace)
