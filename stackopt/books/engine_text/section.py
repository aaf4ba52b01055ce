"""One table of an engine file, read key by key; what is wrong is gathered, not raised."""

from __future__ import annotations

import difflib
import re
from collections.abc import Callable, Iterator, Mapping
from typing import TypeVar

from msgspec import Struct, field
from msgspec.structs import replace

from stackopt.books.engine_text.values import written
from stackopt.problems import Place, Problem, UnreadableError

Value = TypeVar("Value")

# Common words for what has another key here.
MEANT = {
    "name": "engine",
    "title": "engine",
    "id": "engine",
    "squish": "quench",
    "ratio": "compression",
    "cr": "compression",
    "conrod": "rod_length",
    "con_rod": "rod_length",
    "rod": "rod_length",
    "diameter": "bore",
    "combustion_chamber": "chamber_volume",
    "dome": "piston_volume",
    "dish": "piston_volume",
    "crown_volume": "piston_volume",
    "target": "aim",
    "low": "min",
    "high": "max",
}
# Keys less alike than this are not taken for each other.
ALIKE = 0.6

TOP = "the top of the file, above the first line in brackets"


class Findings(Struct):
    """What came to light while one file was read: its problems, its tables, and which key belongs in which of them."""

    problems: list[Problem] = field(default_factory=list)
    sections: list[FileSection] = field(default_factory=list)
    homes: dict[str, str] = field(default_factory=dict)

    def blame_unknown_keys(self) -> None:
        """Note every key that nobody asked for; only once all tables are read is it known where a key belongs."""
        for section in self.sections:
            section.blame_unknown_keys()


class FileSection(Struct):
    """One table of an engine file.

    Parameters
    ----------
    entries
        The table's keys and values as parsed.
    place
        The file, and the table's own path as `item` (empty at the top of the file).
    findings
        Shared by all tables of the file.
    home
        How the file's writer knows this table, as ``[quench]``.
    """

    entries: Mapping[str, object]
    place: Place
    findings: Findings
    home: str = TOP
    known: list[str] = field(default_factory=list)

    def __post_init__(self) -> None:
        self.findings.sections.append(self)

    def has(self, key: str) -> bool:
        """Tell whether the key stands in this table; the key is known from then on."""
        if key not in self.known:
            self.known.append(key)
            self.findings.homes.setdefault(key, self.home)
        return key in self.entries

    def at(self, key: str) -> Place:
        """Return the place of one key."""
        return replace(self.place, item=f"{self.place.item}.{key}" if self.place.item else key)

    def blame(self, key: str, expected: str, mend: str = "") -> None:
        """Note a problem with one key; what stands there is quoted."""
        found = written(self.entries[key]) if key in self.entries else ""
        self.findings.problems.append(Problem(self.at(key), found, expected, mend))

    def take(self, key: str, read: Callable[[object], Value]) -> Value | None:
        """Return what the key means; None when it is not there, or (the problem noted) cannot be read."""
        if not self.has(key):
            return None
        try:
            return read(self.entries[key])
        except UnreadableError as error:
            self.findings.problems.append(error.at(self.at(key)))
            return None

    def need(self, key: str, read: Callable[[object], Value], expected: str) -> Value | None:
        """Return what the key means as `take` does; a missing key is a problem."""
        if not self.has(key):
            self.blame(key, expected, "Add the line.")
        return self.take(key, read)

    def table(self, key: str) -> FileSection | None:
        """Return the table under a key; None when it is not there or is not a table."""
        if not self.has(key):
            return None
        entries = self.entries[key]
        if not isinstance(entries, dict):
            self.blame(key, f"a table that opens with the line [{_without_numbers(self.at(key).item)}]")
            return None
        return FileSection(entries, self.at(key), self.findings, f"[{_without_numbers(self.at(key).item)}]")

    def tables(self, key: str) -> Iterator[FileSection]:
        """Yield the tables that open with ``[[key]]``, counted from 1."""
        entries = self.entries.get(key, []) if self.has(key) else []
        if not isinstance(entries, list) or not all(isinstance(one, dict) for one in entries):
            line = f"[[{_without_numbers(self.at(key).item)}]]"
            self.blame(key, f"tables that each open with the line {line}", "Write two brackets on either side.")
            return
        for number, one in enumerate(entries, start=1):
            place = self.at(f"{key}[{number}]")
            yield FileSection(one, place, self.findings, f"[[{_without_numbers(place.item)}]]")

    def blame_unknown_keys(self) -> None:
        """Note every key of this table that nobody asked for, with the nearest known one or where it belongs."""
        for key in self.entries:
            if key in self.known:
                continue
            mend = _nearest(key, self.known)
            if key in self.findings.homes:
                mend = f"It belongs in {self.findings.homes[key]}."
            self.findings.problems.append(Problem(self.at(key), key, "a key known here", mend))


def _without_numbers(path: str) -> str:
    return re.sub(r"\[\d+\]", "", path)


def _nearest(key: str, known: list[str]) -> str:
    """Name the known key that is meant; all of them where none is like it."""
    plain = key.lower().replace("-", "_").replace(" ", "_")
    word = MEANT.get(plain)
    if word in known:
        return f"Did you mean {word}?"
    near = difflib.get_close_matches(plain, known, n=1, cutoff=ALIKE)
    near = near or [one for one in known if one in plain.split("_")][:1]
    return f"Did you mean {near[0]}?" if near else f"Known here: {', '.join(known)}."
