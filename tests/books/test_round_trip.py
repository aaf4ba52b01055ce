"""Written, then read back: the same facts, in every role and format."""

from __future__ import annotations

import os
from dataclasses import replace
from pathlib import Path
from tempfile import TemporaryDirectory

import pytest
from hypothesis import HealthCheck, given, settings

from stackopt.books import Books, read_books
from stackopt.books.book_out import records_by_role, write_book, write_roles
from stackopt.books.vocabulary import Role
from stackopt.engine.records import Engine
from stackopt.parts.records import Offer
from stackopt.problems import InputError
from tests.books.facts import shops

# The nightly profile builds 2,000 books: STACKOPT_BOOKS=2000.
EXAMPLES = int(os.environ.get("STACKOPT_BOOKS", "100"))
PATIENT = settings(max_examples=EXAMPLES, deadline=None, suppress_health_check=list(HealthCheck))


def without_places(offers: tuple[Offer, ...]) -> list[Offer]:
    """Where an offer is written is the one thing that changes from book to book."""
    return sorted((replace(offer, written_at="") for offer in offers), key=repr)


def without_cautions(engines: tuple[Engine, ...]) -> list[Engine]:
    return [replace(engine, cautions=(), pinned=dict(engine.pinned)) for engine in engines]


def assert_same(read: Books, said: Books) -> None:
    assert read.problems == ()
    assert dict(read.supply.parts) == dict(said.supply.parts)
    assert dict(read.supply.stock) == dict(said.supply.stock)
    assert without_places(read.supply.offers) == without_places(said.supply.offers)
    assert dict(read.supply.suppliers) == dict(said.supply.suppliers)
    assert {kit.number: dict(kit.contents) for kit in read.supply.kits.values()} == {
        kit.number: dict(kit.contents) for kit in said.supply.kits.values()
    }
    assert without_cautions(read.engines) == without_cautions(said.engines)
    assert read.usage == said.usage
    assert read.services == said.services


def is_empty(books: Books) -> bool:
    return not any(records_by_role(books).values())


@PATIENT
@given(shops())
def test_a_workbook_says_what_was_written_into_it(said: Books) -> None:
    if is_empty(said):
        return
    with TemporaryDirectory() as folder:
        path = Path(folder) / "book.xlsx"
        write_book(path, said, replace=False)
        assert_same(read_books([path]), said)


@PATIENT
@given(shops())
def test_delimited_files_say_what_was_written_into_them(said: Books) -> None:
    if is_empty(said):
        return
    with TemporaryDirectory() as folder:
        paths = []
        for role, records in records_by_role(said).items():
            if records:
                paths.append(Path(folder) / f"{role}.csv")
                write_roles(paths[-1], {role: records}, replace=False)
        assert_same(read_books(paths), said)


def test_a_file_is_not_replaced_unless_asked_and_then_whole(tmp_path: Path) -> None:
    path = tmp_path / "stock.csv"
    write_roles(path, {Role.USAGE: []}, replace=False)
    before = path.read_bytes()
    with pytest.raises(InputError, match="a file that is there already"):
        write_roles(path, {Role.SERVICES: []}, replace=False)
    assert path.read_bytes() == before
    write_roles(path, {Role.SERVICES: []}, replace=True)
    assert path.read_bytes() != before
    assert list(tmp_path.iterdir()) == [path]
