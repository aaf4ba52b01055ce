"""Rows of all books together: one part a number, duplicates merged, contradictions named."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass, field
from typing import TypeVar

from stackopt.books.describe import COLUMN_OF, KINDS_WITH_THICKNESS, Facts, combined, disagreement, part, shown
from stackopt.books.offers import OfferLines
from stackopt.books.records import Books, Service
from stackopt.books.stock import StockRow
from stackopt.books.terms import KitLine, Placed
from stackopt.engine.records import Engine
from stackopt.parts.records import Kind, Kit, Part, StockLine, Supplier, Usage
from stackopt.problems import Place, Problem

T = TypeVar("T")
CORRECT_ONE = "Correct or delete one of the two rows."
NAME_THE_MASTER = "Correct one of the two, or name the book that is right with --master FILE."


@dataclass
class Gathered:
    """What has been read so far, sheet by sheet, and what is wrong with it."""

    stock: list[StockRow] = field(default_factory=list)
    offers: list[OfferLines] = field(default_factory=list)
    suppliers: list[Placed[Supplier]] = field(default_factory=list)
    kits: list[Placed[KitLine]] = field(default_factory=list)
    engines: list[Placed[Engine]] = field(default_factory=list)
    usage: list[Usage] = field(default_factory=list)
    services: list[Placed[Service]] = field(default_factory=list)
    problems: list[Problem] = field(default_factory=list)
    notes: list[str] = field(default_factory=list)

    def books(self, refused: Iterable[Problem]) -> Books:
        """Return the books; each contradiction is a problem, and what it concerns is left out.

        `refused` says which files and sheets could not be read at all.
        """
        shelf = _Shelf(self)
        for row in self.stock:
            shelf.put(row)
        for lines in self.offers:
            shelf.describe(lines)
        parts = shelf.parts(self.kits)
        for lines in self.offers:
            self._refuse_undescribed(lines, parts, shelf.disputed)
        return Books(
            parts=parts,
            stock={number: line for number, line in shelf.lines.items() if number in parts},
            suppliers=self._named(self.suppliers, lambda supplier: supplier.name, "supplier"),
            kits=self._kits(),
            offer_lines=tuple(self.offers),
            engines=tuple(self._named(self.engines, lambda engine: engine.name, "engine").values()),
            usage=tuple(self.usage),
            services=tuple(self._named(self.services, lambda service: service.service, "service").values()),
            refused=tuple(refused),
            problems=tuple(self.problems) + tuple(fault for lines in self.offers for fault in lines.problems),
            notes=tuple(self.notes) + tuple(note for lines in self.offers for note in lines.notes),
        )

    def _named(self, rows: Iterable[Placed[T]], name_of: Callable[[T], str], what: str) -> dict[str, T]:
        """Return records by name; the same twice is merged, and two that differ are both left out."""
        found: dict[str, Placed[T]] = {}
        disputed: set[str] = set()
        for row in rows:
            name = name_of(row.record)
            first = found.setdefault(name, row)
            if first is row:
                continue
            if first.record == row.record:
                self.notes.append(f"{row.place}: {what} {name!r} says the same as {first.place}; read once")
                continue
            disputed.add(name)
            self.problems.append(Problem(row.place, name, f"the same {what} as at {first.place}", CORRECT_ONE))
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
        by_folded = {number.casefold(): number for number in parts}
        for position, number in enumerate(lines.part):
            if number not in unknown or position in lines.refused or number is None:
                continue
            lines.refused.add(position)
            if number in disputed:
                continue
            near = by_folded.get(number.casefold())
            mend = f"Is it {near!r}?" if near else "Add kind, fits and thickness here, or the part to the stock list."
            place = lines.table.place(position, "part number")
            lines.problems.append(Problem(place, number, "a part that a row of some book describes", mend))


class _Shelf:
    """What is known of each part, and what lies on the shelf, while rows are added one after another."""

    def __init__(self, gathered: Gathered) -> None:
        self.problems = gathered.problems
        self.notes = gathered.notes
        self.facts: dict[str, Facts] = {}
        self.places: dict[str, Place] = {}
        self.lines: dict[str, StockLine] = {}
        self.disputed: set[str] = set()

    def put(self, row: StockRow) -> None:
        """Add a row of a stock list."""
        number = row.line.part
        if number not in self.lines:
            self.lines[number] = row.line
            self._say(number, row.facts, row.place)
            return
        if row.line == self.lines[number] and not disagreement(self.facts[number], row.facts):
            self.notes.append(f"{row.place}: {number} says the same as {self.places[number]}; read once")
            return
        self._dispute(number, row.facts, row.place, "the same facts")

    def describe(self, lines: OfferLines) -> None:
        """Add what a price list says about the parts that it offers."""
        described = (
            dict(zip(zip(lines.part, lines.facts, strict=True), range(len(lines.facts)), strict=True))
            if lines.facts
            else {}
        )
        for (number, said), position in described.items():
            if number is None or position in lines.refused or not any(said):
                continue
            facts = Facts._make(said)
            if number in self.facts and facts == self.facts[number]:
                continue
            self._say(number, facts, lines.table.place(position, "part number"))

    def _say(self, number: str, facts: Facts, place: Place) -> None:
        if number in self.disputed:
            return
        known = self.facts.get(number)
        if known is None:
            self.facts[number], self.places[number] = facts, place
            return
        if disagreement(known, facts):
            self._dispute(number, facts, place, "")
            return
        self.facts[number] = combined(known, facts)

    def _dispute(self, number: str, facts: Facts, place: Place, what: str) -> None:
        if number in self.disputed:
            return
        known, first = self.facts[number], self.places[number]
        self.disputed.add(number)
        name = disagreement(known, facts)
        if name:
            found = f"{number}: {COLUMN_OF[name]} {shown(name, facts)}"
            expected = f"{COLUMN_OF[name]} {shown(name, known)}, as {first} says"
        else:
            found, expected = number, f"{what} as at {first}, the same part number"
        same_book = place.file == first.file
        self.problems.append(Problem(place, found, expected, CORRECT_ONE if same_book else NAME_THE_MASTER))

    def parts(self, kits: Iterable[Placed[KitLine]]) -> dict[str, Part]:
        """Return the parts that are described well enough, kits among them."""
        parts: dict[str, Part] = {}
        for number, facts in self.facts.items():
            if number in self.disputed or facts.kind is None:
                continue
            if facts.kind in KINDS_WITH_THICKNESS and facts.thickness_mm is None:
                expected = f"the installed thickness of the {facts.kind} {number}"
                self.problems.append(Problem(self.places[number], "", expected, "Fill it in."))
                self.disputed.add(number)
                continue
            if facts.families is None:
                self.notes.append(f"{self.places[number]}: {number} does not say what it fits; any family taken")
            parts[number] = part(number, facts.kind, facts)
        for row in kits:
            if row.record.kit not in self.disputed:
                parts.setdefault(row.record.kit, Part(row.record.kit, Kind.KIT))
        return parts
