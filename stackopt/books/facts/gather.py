"""Rows of all books together: one part a number, duplicates merged, contradictions named."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence, Set
from typing import TypeVar

from msgspec import Struct, field

from stackopt.books.facts.book_records import Books
from stackopt.books.facts.heaps import uses_settled
from stackopt.books.facts.offers import OfferLines
from stackopt.books.facts.older_lists import drop_older_lists
from stackopt.books.facts.shelf import CORRECT_ONE, NAME_THE_MASTER, ShelfBuilder
from stackopt.books.facts.stock import StockRow
from stackopt.books.facts.terms import KitLine, Located, Placed, Spotted, without_repeated
from stackopt.books.facts.twins import Numbered, settle_twins, with_one_spelling
from stackopt.books.tables.account import SheetAccount
from stackopt.books.words.inquiry import Inquiry
from stackopt.engine.engine_records import Engine
from stackopt.parts.part_records import Kit, Part, Service, Supplier, Usage
from stackopt.problems import Place, Problem

T = TypeVar("T")


class Gathered(Struct):
    """What has been read so far, sheet by sheet, and what is wrong with it.

    `master` is the book that is right where books disagree; empty where none is named. `known_parts` need no words
    of a book's own, because the shop's ledger describes them.
    """

    master: str = ""
    known_parts: Mapping[str, Part] = field(default_factory=dict)
    stock: list[StockRow] = field(default_factory=list)
    offers: list[OfferLines] = field(default_factory=list)
    suppliers: list[Placed[Supplier]] = field(default_factory=list)
    kits: list[Spotted[KitLine]] = field(default_factory=list)
    engines: list[Placed[Engine]] = field(default_factory=list)
    usage: list[Spotted[Usage]] = field(default_factory=list)
    services: list[Placed[Service]] = field(default_factory=list)
    problems: list[Problem] = field(default_factory=list)
    accounts: list[SheetAccount] = field(default_factory=list)

    def say(self, place: Place, text: str) -> None:
        """Tell the user something that concerns a place, in the account of its sheet."""
        account = next(one for one in self.accounts if (one.place.file, one.place.sheet) == (place.file, place.sheet))
        account.said.append(text)

    def books(self, refused: Iterable[Problem], inquiries: Sequence[Inquiry]) -> Books:
        """Return the books; each contradiction is a problem or a question, and what it concerns is left out.

        `refused` says which files and sheets could not be read at all; `inquiries` hold what was asked.
        """
        self.suppliers = list(with_one_spelling(self.offers, self.suppliers))
        drop_older_lists(self.offers, self.master)
        shelf = ShelfBuilder(self.master, self.problems)
        settled_rows = settle_twins(Numbered(self.stock, self.offers, self.kits, self.usage))
        self.stock, _, self.kits, used = settled_rows
        self.usage = uses_settled(used)
        for lines in self.offers:
            if lines.table.sheet.file == self.master:
                shelf.describe(lines)
        for row in sorted(self.stock, key=lambda row: row.spot.file != self.master):
            shelf.put(row)
        for lines in self.offers:
            if lines.table.sheet.file != self.master:
                shelf.describe(lines)
        parts = shelf.parts(self.kits)
        parts |= self._known_of_the_ledger(parts.keys() | shelf.disputed)
        for lines in self.offers:
            self._refuse_undescribed(lines, parts, shelf.disputed)
        return Books(
            parts=parts,
            stock={number: line for number, line in shelf.lines.items() if number in parts},
            suppliers=self._named(without_repeated(self.suppliers), lambda supplier: supplier.name, "supplier"),
            kits=self._kits(),
            offer_lines=tuple(self.offers),
            stock_rows=tuple(self.stock),
            engines=tuple(self._named(self.engines, lambda engine: engine.name, "engine").values()),
            usage=tuple(row.record for row in self.usage),
            services=tuple(self._named(self.services, lambda service: service.service, "service").values()),
            refused=tuple(refused),
            problems=tuple(self.problems) + tuple(fault for lines in self.offers for fault in lines.problems),
            questions=tuple(question for inquiry in inquiries for question in inquiry.asked),
            sheets=tuple(self.accounts),
        )

    def _known_of_the_ledger(self, described: Set[str]) -> dict[str, Part]:
        """Return the parts that price lists offer and only the shop's ledger describes."""
        if not self.known_parts:
            return {}
        offered = {number for lines in self.offers for number in lines.part if number is not None}
        return {number: self.known_parts[number] for number in (offered & self.known_parts.keys()) - described}

    def _named(self, rows: Iterable[Located[T]], name_of: Callable[[T], str], what: str) -> dict[str, T]:
        """Return records by name; the same twice is merged, and two that differ are both left out."""
        found: dict[str, Located[T]] = {}
        disputed: set[str] = set()
        for row in sorted(rows, key=lambda row: row.place.file != self.master):
            name = name_of(row.record)
            first = found.setdefault(name, row)
            if first is row:
                continue
            if first.record == row.record:
                self.say(row.place, f"{what} {name!r} at {row.place.item} says the same as {first.place}; read once")
            elif first.place.file == self.master != row.place.file:
                self.say(row.place, f"{what} {name!r} at {row.place.item} differs from {first.place}, the master's")
            else:
                disputed.add(name)
                mend = CORRECT_ONE if row.place.file == first.place.file else NAME_THE_MASTER
                self.problems.append(Problem(row.place, name, f"the same {what} as at {first.place}", mend))
        return {name: row.record for name, row in found.items() if name not in disputed}

    def _kits(self) -> dict[str, Kit]:
        lines = self._named(self.kits, lambda line: f"{line.kit} holding {line.part}", "kit")
        contents: dict[str, dict[str, int]] = {}
        for line in lines.values():
            contents.setdefault(line.kit, {})[line.part] = line.quantity
        return {number: Kit(number, held) for number, held in contents.items()}

    def _refuse_undescribed(self, lines: OfferLines, parts: dict[str, Part], disputed: set[str]) -> None:
        """Refuse offers of parts that no row describes; those of disputed parts are named already."""
        unknown = set(lines.part) - parts.keys() - {None}
        if not unknown:
            return
        for position, number in enumerate(lines.part):
            if number not in unknown or position in lines.refused or number is None:
                continue
            lines.refused.add(position)
            if number in disputed:
                continue
            mend = "Add kind, fits and thickness here, or the part to the stock list."
            place = lines.table.place(position, "part number")
            lines.problems.append(Problem(place, number, "a part that a row of some book describes", mend))
