"""One description a part, from all rows that speak of it: those that agree are joined, those that do not are named."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from stackopt.books.asked.remarks import LEAVE_ROW_OUT
from stackopt.books.facts.describe import (
    COLUMN_OF,
    KINDS_WITH_THICKNESS,
    SAYS_NOTHING,
    Facts,
    combined,
    different_rows,
    disagreement,
    part,
    shown,
)
from stackopt.books.facts.heaps import HEAPS, added_up, is_right, row_number, said_of, said_of_sheets, sheet_is_right
from stackopt.books.facts.offers import OfferLines
from stackopt.books.facts.stock import StockRow
from stackopt.books.facts.terms import KitLine, Located
from stackopt.books.tables.table import CellSpot
from stackopt.books.words.describing.families import families as read_families
from stackopt.parts.part_records import ANY_FAMILY, Kind, Part, StockLine
from stackopt.problems import Problem, Question, plain_key

CORRECT_ONE = "Correct or delete one of the two rows."
NAME_THE_MASTER = "Correct one of the two, or name the book that is right with --master FILE."


class ShelfBuilder:
    """What is known of each part, and what lies on the shelf, while rows are added one after another.

    What the `master` says, the book that is right where books disagree, must be added before what others say of the
    same, be it a stock list or a price list. `disputed` holds the parts that no row can be trusted on.
    """

    def __init__(self, master: str, problems: list[Problem]) -> None:
        self.master = master
        self.problems = problems
        self.facts: dict[str, Facts] = {}
        self.spots: dict[str, CellSpot] = {}
        self.lines: dict[str, StockLine] = {}
        self.disputed: set[str] = set()
        self.rows: dict[str, list[StockRow]] = {}

    def put(self, row: StockRow) -> None:
        """Add a row of a stock list."""
        number = row.line.part
        before = self.rows.setdefault(number, [])
        before.append(row)
        if len(before) == 1:
            self.lines[number] = row.line
            self._say(number, row.facts, row.spot)
        elif before[0].spot.file != row.spot.file:
            self._put_of_another_book(number, row)
        elif before[0].spot.table.sheet.name != row.spot.table.sheet.name:
            self._settle(number, row, said_of_sheets(before[0], row))
        elif disagreement(self.facts[number], row.facts):
            self._dispute(number, row.facts, row.spot)
        else:
            self._settle(number, row, said_of(row, before[:-1]))

    def _put_of_another_book(self, number: str, row: StockRow) -> None:
        if row.line == self.lines[number] and not disagreement(self.facts[number], row.facts):
            row.spot.say(f"{number} at {row.spot.place.item} says the same as {self.spots[number].place}; read once")
        else:
            self._dispute(number, row.facts, row.spot)

    def _settle(self, number: str, row: StockRow, said: str | None) -> None:
        """Do with a further row of one book what its bin or the user says; as long as that is asked, nothing."""
        first = self.rows[number][0]
        rows = f"{number}: {_rows(first, row)}"
        if said is None:
            self.disputed.add(number)
        elif said == HEAPS and not disagreement(self.facts[number], row.facts):
            self.lines[number] = added_up(self.lines[number], row.line)
            row.spot.say(f"{rows} are two heaps, added up")
        elif said in (is_right(row), sheet_is_right(row.spot.table.sheet.name)):
            self.lines[number], self.facts[number] = row.line, row.facts
            row.spot.say(f"{rows}: the latter is right, as you said")
        elif said == HEAPS:
            self._dispute(number, row.facts, row.spot)
        else:
            row.spot.say(f"{rows}: read once, as you said")

    def describe(self, lines: OfferLines) -> None:
        """Add what a price list says about the parts that it offers."""
        for number, facts, position in _descriptions(lines):
            if position not in lines.refused and facts != self.facts.get(number):
                self._say(number, facts, CellSpot(lines.table, position, "part number"))

    def _say(self, number: str, facts: Facts, spot: CellSpot) -> None:
        known = self.facts.get(number)
        if known is None:
            self.facts[number], self.spots[number] = facts, spot
        elif disagreement(known, facts):
            self._dispute(number, facts, spot)
        else:
            self.facts[number] = combined(known, facts)

    def _dispute(self, number: str, facts: Facts, spot: CellSpot) -> None:
        known, first = self.facts[number], self.spots[number].place
        place = spot.place
        name = disagreement(known, facts)
        if first.file == self.master != place.file:
            what = f"{COLUMN_OF[name]} {shown(name, facts)}" if name else "other facts"
            spot.say(f"{number} at {place.item} has {what}; the master's row at {first} counts")
            return
        if number in self.disputed:
            return
        self.disputed.add(number)
        mend = CORRECT_ONE if place.file == first.file else NAME_THE_MASTER
        if not name:
            self.problems.append(Problem(place, number, f"the same facts as at {first}, the same part number", mend))
            return
        found = f"{number}: {COLUMN_OF[name]} {shown(name, facts)}"
        self.problems.append(Problem(place, found, f"{COLUMN_OF[name]} {shown(name, known)}, as {first} says", mend))

    def parts(self, kits: Iterable[Located[KitLine]]) -> dict[str, Part]:
        """Return the parts that are described well enough, kits among them."""
        parts: dict[str, Part] = {}
        for number, facts in self.facts.items():
            if number in self.disputed or facts.kind is None:
                continue
            if facts.kind in KINDS_WITH_THICKNESS and facts.thickness_mm is None:
                expected = f"the installed thickness of the {facts.kind} {number}"
                self.problems.append(Problem(self.spots[number].place, "", expected, "Fill it in."))
                self.disputed.add(number)
                continue
            families = facts.families
            if families is None and facts.kind is not Kind.KIT:
                families = self._families_asked(number)
                if families is None:
                    self.disputed.add(number)
                    continue
            parts[number] = part(number, facts.kind, facts._replace(families=families))
        for row in kits:
            if row.record.kit not in self.disputed:
                parts.setdefault(row.record.kit, Part(row.record.kit, Kind.KIT))
        return parts

    def _families_asked(self, number: str) -> frozenset[str] | None:
        """Return what a part fits whose row does not say it; None as long as that is asked, or where it is left out.

        In a list that says it of no part, every part fits any family.
        """
        spot = self.spots[number]
        if not spot.table.layout.columns.keys() & {"fits"}:
            spot.say(f"{number} at {spot.place.item} does not say what it fits; any family taken")
            return frozenset({ANY_FAMILY})
        place = spot.table.place(spot.position, "fits")
        expected = f"what {number} fits: family codes with ; between them, or * for any"
        question = Question(place, "", expected, ("*", LEAVE_ROW_OUT), plain_key(f"fits of {number}"), is_open=True)
        answer = spot.table.inquiry.ask(question)
        return None if answer in (None, LEAVE_ROW_OUT) else read_families(answer)


def _descriptions(lines: OfferLines) -> Iterator[tuple[str, Facts, int]]:
    """Yield each different description of a part once, with the position of a row that gives it."""
    if not lines.facts.columns:
        return
    positions = different_rows(lines.table)
    for position, facts in zip(positions, lines.facts.at_each(positions), strict=True):
        number = lines.part[position]
        if number is not None and facts != SAYS_NOTHING:
            yield number, facts, position


def _rows(first: StockRow, second: StockRow) -> str:
    """Name two rows of one book."""
    sheet = first.spot.table.sheet.name
    if sheet == second.spot.table.sheet.name:
        return f"rows {row_number(first)} and {row_number(second)}"
    return f"row {row_number(first)} of {sheet!r} and row {row_number(second)}"
