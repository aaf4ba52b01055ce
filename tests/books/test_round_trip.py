"""Written, then read back: the same facts, in every role and format."""

from __future__ import annotations

import os
from collections.abc import Mapping
from pathlib import Path
from tempfile import TemporaryDirectory

import pytest
from hypothesis import HealthCheck, given, settings
from msgspec import Struct
from msgspec.structs import replace

from stackopt.books.facts.book_records import Books
from stackopt.books.facts.read import read_books
from stackopt.books.out.book_out import write_roles
from stackopt.books.words.vocabulary import Role
from stackopt.engine.cautions import Units
from stackopt.engine.engine_records import Cylinder, Engine
from stackopt.parts.part_records import Offer
from stackopt.problems import InputError
from tests.books.stated_facts import is_empty, shops
from tests.books.whole_books import records_by_role, write_book
from tests.full import usual_or_full

# The nightly profile builds 2,000 books: STACKOPT_BOOKS=2000.
EXAMPLES = int(os.environ.get("STACKOPT_BOOKS", usual_or_full(30, 100, whole=100)))
PATIENT = settings(max_examples=EXAMPLES, suppress_health_check=list(HealthCheck))


def rounded(fact: object) -> object:
    """Return a fact with its numbers to a millionth: sums of binary fractions differ in the last digits."""
    if isinstance(fact, float):
        return round(fact, 6)
    if isinstance(fact, Struct):
        return type(fact).__name__, [rounded(getattr(fact, name)) for name in fact.__struct_fields__]
    if isinstance(fact, Mapping):
        return {key: rounded(value) for key, value in fact.items()}
    return [rounded(one) for one in fact] if isinstance(fact, tuple | list) else fact


def without_places(offers: tuple[Offer, ...]) -> list[Offer]:
    """Where an offer is written is the one thing that changes from book to book."""
    return sorted((replace(offer, written_at="") for offer in offers), key=repr)


def unwritten(cylinder: Cylinder) -> Cylinder:
    return replace(cylinder, stated=None)


def name_of(cylinder: Cylinder) -> str:
    return cylinder.name


def by_name(engines: tuple[Engine, ...]) -> list[object]:
    """Cautions, and how a measure was written, are no facts; engines and cylinders may come in any order."""
    plain = [
        replace(
            engine, cautions=(), units=Units.MM, cylinders=tuple(sorted(map(unwritten, engine.cylinders), key=name_of))
        )
        for engine in engines
    ]
    return [rounded(engine) for engine in sorted(plain, key=lambda engine: engine.name)]


def assert_same(read: Books, said: Books) -> None:
    assert read.problems == ()
    assert rounded(read.supply.parts) == rounded(said.supply.parts)
    assert rounded(read.supply.stock) == rounded(said.supply.stock)
    assert without_places(read.supply.offers) == without_places(said.supply.offers)
    assert rounded(read.supply.suppliers) == rounded(said.supply.suppliers)
    assert rounded(read.supply.kits) == rounded(said.supply.kits)
    assert by_name(read.engines) == by_name(said.engines)
    assert sorted(read.usage, key=repr) == sorted(said.usage, key=repr)
    assert read.services == said.services


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
