"""What the user said of columns: on the command line, or once in a file beside the book, for every book of that layout.

The file is ``columns.toml`` in the book's folder. Each entry holds a header row as it stands, and for some of its
columns the header that is to be read in place of the one that stands there; an empty one keeps the column aside::

    [[layout]]
    headers = ["Item", "Thk", "T", "Qty"]
    columns = { B = "thickness (in)", C = "" }
"""

from __future__ import annotations

import tomllib
from collections.abc import Iterable, Mapping, Sequence
from pathlib import Path

from msgspec import Struct, field

from stackopt.books.files.sheets import column_letters, column_number
from stackopt.books.files.writing import write_whole
from stackopt.problems import InputError, Place, Problem

INTRODUCTION = """\
# How stackopt reads columns of the books in this folder, by their header row.
# Written by `stackopt check --column`.

"""
FILE_NAME = "columns.toml"
AN_ENTRY = 'headers = ["Item", "Thk"] and columns = { B = "thickness (in)" } under [[layout]]'


class RememberedLayout(Struct, frozen=True):
    """A header row, and the headers that are to be read in place of some of it, by column counted from 0."""

    headers: tuple[str, ...]
    columns: Mapping[int, str]


class Said(Struct, frozen=True):
    """What the user said of columns.

    `now` goes by (sheet, column), the sheet's name empty where none was named; `remembered` by the book's folder.
    """

    now: Mapping[tuple[str, int], str] = field(default_factory=dict)
    remembered: Mapping[str, Sequence[RememberedLayout]] = field(default_factory=dict)

    def retitled(self, file: str, sheet: str, titles: Mapping[int, str]) -> dict[int, str]:
        """Return what is to be read in place of which titles; what is said now goes before what was remembered."""
        said: dict[int, str] = {}
        row = headers_of(titles)
        for layout in self.remembered.get(str(Path(file).parent), ()):
            if layout.headers == row:
                said.update(layout.columns)
        for (named_sheet, column), title in self.now.items():
            if named_sheet in ("", sheet):
                said[column] = title
        return said


def headers_of(titles: Mapping[int, str]) -> tuple[str, ...]:
    """Return a header row as it is remembered: a text for every column up to the last."""
    last = max((column for column, title in titles.items() if title), default=-1)
    return tuple(titles.get(column, "") for column in range(last + 1))


def what_was_said(paths: Iterable[Path], now: Mapping[tuple[str, int], str]) -> Said:
    """Read what is remembered beside each of the books.

    Raises
    ------
    InputError
        When a ``columns.toml`` cannot be read.
    """
    folders = dict.fromkeys(path.parent for path in paths)
    remembered = {str(folder): read_remembered(folder / FILE_NAME) for folder in folders}
    return Said(now, remembered)


def read_remembered(path: Path) -> tuple[RememberedLayout, ...]:
    """Read the layouts that a file remembers; none where there is no such file.

    Raises
    ------
    InputError
        When the file cannot be read.
    """
    if not path.is_file():
        return ()
    try:
        content = tomllib.loads(path.read_text(encoding="utf-8-sig"))
    except (OSError, ValueError) as error:
        raise InputError(Problem(Place(str(path)), str(error), "a file of column layouts in TOML")) from None
    entries = content.get("layout", [])
    if content.keys() - {"layout"} or not isinstance(entries, list):
        raise InputError(Problem(Place(str(path)), ", ".join(content), AN_ENTRY, "Correct it, or delete the file."))
    return tuple(_layout(path, number, entry) for number, entry in enumerate(entries, start=1))


def _layout(path: Path, number: int, entry: object) -> RememberedLayout:
    headers = entry.get("headers") if isinstance(entry, dict) else None
    columns = entry.get("columns") if isinstance(entry, dict) else None
    known = isinstance(headers, list) and all(isinstance(title, str) for title in headers)
    if not known or not isinstance(columns, dict) or not all(map(_is_said, columns.items())):
        place = Place(str(path), item=f"layout {number}")
        raise InputError(Problem(place, str(entry), AN_ENTRY, "Correct the entry, or delete it."))
    return RememberedLayout(tuple(headers or ()), {column_number(letters): title for letters, title in columns.items()})


def _is_said(item: tuple[str, object]) -> bool:
    letters, title = item
    return letters.isascii() and letters.isalpha() and len(letters) <= 3 and isinstance(title, str)


def remember(folder: Path, layouts: Iterable[RememberedLayout]) -> Path:
    """Add layouts to the folder's file; one with the same header row is replaced. Return the file.

    Raises
    ------
    InputError
        When the file cannot be read or written.
    """
    path = folder / FILE_NAME
    kept = {layout.headers: layout for layout in (*read_remembered(path), *layouts)}
    entries = "\n".join(_entry(layout) for layout in kept.values())
    write_whole(path, (INTRODUCTION + entries).encode("utf-8"), replace=True)
    return path


def _entry(layout: RememberedLayout) -> str:
    headers = ", ".join(map(_quoted, layout.headers))
    columns = ", ".join(
        f"{column_letters(column)} = {_quoted(said)}" for column, said in sorted(layout.columns.items())
    )
    return f"[[layout]]\nheaders = [{headers}]\ncolumns = {{ {columns} }}\n"


def _quoted(text: str) -> str:
    escaped = "".join(
        f"\\u{ord(letter):04x}" if letter < " " or letter == "\x7f" else letter
        for letter in text.replace("\\", "\\\\").replace('"', '\\"')
    )
    return f'"{escaped}"'
