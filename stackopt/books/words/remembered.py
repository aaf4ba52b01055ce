"""What the user said of columns and in answer to questions: now, or once for all books of a layout.

What is said once stands in ``columns.toml`` in the books' folder. Each entry holds a header row as it stands; for some
of its columns the header that is to be read in place of the one that stands there (an empty one keeps the column
aside); and the answers to questions that were asked, by their keys::

    [[layout]]
    headers = ["Item", "Thk", "T", "Qty"]
    columns = { B = "thickness (in)", C = "" }

    [layout.answers]
    "supplier" = "Quillhaven"
"""

from __future__ import annotations

import tomllib
from collections.abc import Iterable, Mapping, Sequence
from pathlib import Path

from msgspec import Struct, field
from msgspec.structs import replace

from stackopt.books.files.sheets import Sheet, column_letters, column_number
from stackopt.books.files.writing import write_whole
from stackopt.books.words.inquiry import GivenAnswer, Inquiry
from stackopt.problems import InputError, Place, Problem

INTRODUCTION = """\
# How stackopt reads the books in this folder, by their header row.
# Written by `stackopt check` with --column and --answer; it may be corrected by hand.

"""
FILE_NAME = "columns.toml"
AN_ENTRY = 'headers = ["Item", "Thk"] and columns = { B = "thickness (in)" } or answers = { } under [[layout]]'


class RememberedLayout(Struct, frozen=True):
    """What is remembered of books with one header row.

    `columns` are headers to be read in place of some of it, by column counted from 0; `answers` go by the question.
    """

    headers: tuple[str, ...]
    columns: Mapping[int, str] = field(default_factory=dict)
    answers: Mapping[str, str] = field(default_factory=dict)


class Learned(Struct, frozen=True):
    """What the user said now of a layout, and the folder where it is to be remembered."""

    folder: str
    layout: RememberedLayout


class Said(Struct, frozen=True):
    """What the user said of columns, and in answer to questions.

    `now` goes by (sheet, column), the sheet's name empty where none was named; `answers` are those of now;
    `remembered` goes by the book's folder.
    """

    now: Mapping[tuple[str, int], str] = field(default_factory=dict)
    answers: tuple[GivenAnswer, ...] = ()
    remembered: Mapping[str, Sequence[RememberedLayout]] = field(default_factory=dict)

    def retitled(self, file: str, sheet: str, titles: Mapping[int, str]) -> dict[int, str]:
        """Return what is to be read in place of which titles; what is said now goes before what was remembered."""
        said = dict(self._of_layout(file, titles).columns)
        for (named_sheet, column), title in self.now.items():
            if named_sheet in ("", sheet):
                said[column] = title
        return said

    def inquiry(self, sheet: Sheet, titles: Mapping[int, str]) -> Inquiry:
        """Return what asks about a sheet with this header row."""
        return Inquiry(sheet.whole_place, self._of_layout(sheet.file, titles).answers, self.answers)

    def learned(self, sheet: Sheet, titles: Mapping[int, str], inquiry: Inquiry) -> Learned | None:
        """Return what is now known of a sheet's layout beyond what was remembered; None where that is nothing."""
        before = self._of_layout(sheet.file, titles)
        columns = self.retitled(sheet.file, sheet.name, titles)
        answers = {**before.answers, **inquiry.taken}
        if columns == before.columns and answers == before.answers:
            return None
        return Learned(str(Path(sheet.file).parent), RememberedLayout(headers_of(titles), columns, answers))

    def _of_layout(self, file: str, titles: Mapping[int, str]) -> RememberedLayout:
        row = headers_of(titles)
        known = self.remembered.get(str(Path(file).parent), ())
        return next((layout for layout in known if layout.headers == row), RememberedLayout(row))


def headers_of(titles: Mapping[int, str]) -> tuple[str, ...]:
    """Return a header row as it is remembered: a text for every column up to the last."""
    last = max((column for column, title in titles.items() if title), default=-1)
    return tuple(titles.get(column, "") for column in range(last + 1))


def with_remembered(now: Said, paths: Iterable[Path]) -> Said:
    """Return what the user says now, with what is remembered beside each of the books.

    Raises
    ------
    InputError
        When a ``columns.toml`` cannot be read.
    """
    folders = dict.fromkeys(path.parent for path in paths)
    remembered = {str(folder): read_remembered(folder / FILE_NAME) for folder in folders}
    return replace(now, remembered=remembered)


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
    said = entry if isinstance(entry, dict) else {}
    headers, columns, answers = said.get("headers"), said.get("columns", {}), said.get("answers", {})
    known = isinstance(headers, list) and all(isinstance(title, str) for title in headers)
    is_said = isinstance(columns, dict) and all(map(_is_column, columns.items()))
    is_answered = isinstance(answers, dict) and all(isinstance(answer, str) for answer in answers.values())
    if not (known and is_said and is_answered):
        place = Place(str(path), item=f"layout {number}")
        raise InputError(Problem(place, str(entry), AN_ENTRY, "Correct the entry, or delete it."))
    by_number = {column_number(letters): title for letters, title in columns.items()}
    return RememberedLayout(tuple(headers or ()), by_number, answers)


def _is_column(item: tuple[str, object]) -> bool:
    letters, title = item
    return letters.isascii() and letters.isalpha() and len(letters) <= 3 and isinstance(title, str)


def keep_learned(learned: Iterable[Learned]) -> list[Path]:
    """Remember what was learned, each in its folder; an entry with the same header row is replaced. Return the files.

    Raises
    ------
    InputError
        When a file cannot be read or written.
    """
    by_folder: dict[str, list[RememberedLayout]] = {}
    for one in learned:
        by_folder.setdefault(one.folder, []).append(one.layout)
    return [_remember(Path(folder) / FILE_NAME, layouts) for folder, layouts in by_folder.items()]


def _remember(path: Path, layouts: Iterable[RememberedLayout]) -> Path:
    kept = {layout.headers: layout for layout in read_remembered(path)}
    learned: dict[tuple[str, ...], RememberedLayout] = {}
    for layout in layouts:
        # Several tables of one header row, in one book, each settle questions of their own.
        before = learned.get(layout.headers, RememberedLayout(layout.headers))
        columns, answers = {**before.columns, **layout.columns}, {**before.answers, **layout.answers}
        learned[layout.headers] = RememberedLayout(layout.headers, columns, answers)
    kept |= learned
    entries = "\n".join(_entry(layout) for layout in kept.values())
    write_whole(path, (INTRODUCTION + entries).encode("utf-8"), replace=True)
    return path


def _entry(layout: RememberedLayout) -> str:
    headers = ", ".join(map(_quoted, layout.headers))
    columns = ", ".join(
        f"{column_letters(column)} = {_quoted(said)}" for column, said in sorted(layout.columns.items())
    )
    answers = "".join(f"{_quoted(key)} = {_quoted(answer)}\n" for key, answer in layout.answers.items())
    answered = f"\n[layout.answers]\n{answers}" if answers else ""
    return f"[[layout]]\nheaders = [{headers}]\ncolumns = {{ {columns} }}\n{answered}"


def _quoted(text: str) -> str:
    escaped = "".join(
        f"\\u{ord(letter):04x}" if letter < " " or letter == "\x7f" else letter
        for letter in text.replace("\\", "\\\\").replace('"', '\\"')
    )
    return f'"{escaped}"'
