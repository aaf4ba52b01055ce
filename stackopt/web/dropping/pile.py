"""Spreadsheets that were dropped on the page: kept in a folder of their own until they are loaded."""

from __future__ import annotations

import re
import secrets
import shutil
import time
from collections.abc import Sequence
from pathlib import Path

import msgspec
from msgspec import Struct, field
from werkzeug.datastructures import FileStorage

from stackopt.books.facts.book_records import Books
from stackopt.books.words.remembered import FILE_NAME, keep_learned
from stackopt.problems import InputError, Place, Problem

SHEETS = (".xlsx", ".xlsm", ".xls", ".ods", ".csv", ".tsv")
ENGINE_FILE = ".toml"
ENDINGS = (*SHEETS, ENGINE_FILE)
MOST_FILES = 12
KEPT_SECONDS = 2 * 24 * 3600.0
SAID_FILE = "said.json"
SaidOfPile = tuple[list[tuple[str, str]], list[tuple[str, int, str]]]
_TOKEN = re.compile(r"[A-Za-z0-9_-]{12,40}")


class Pile(Struct):
    """What was dropped at once: its folder, and what was said of it since.

    `answers` are answers to questions, each as (file, answer); `columns` are headers to be read in place of those that
    stand there, each as (sheet, column from 0, header).
    """

    folder: Path
    answers: list[tuple[str, str]] = field(default_factory=list)
    columns: list[tuple[str, int, str]] = field(default_factory=list)

    @property
    def token(self) -> str:
        """Its name in addresses."""
        return self.folder.name

    @property
    def books(self) -> list[Path]:
        """The dropped spreadsheets."""
        return sorted(file for file in self.folder.iterdir() if file.suffix.lower() in SHEETS)

    @property
    def engine_files(self) -> list[Path]:
        """The dropped engine files."""
        return sorted(file for file in self.folder.iterdir() if file.suffix.lower() == ENGINE_FILE)

    @property
    def names(self) -> list[str]:
        """The names of all of it."""
        return [file.name for file in (*self.books, *self.engine_files)]


def drop(parent: Path, files: Sequence[FileStorage]) -> Pile:
    """Keep dropped files; old ones that nobody loaded go.

    Raises
    ------
    InputError
        When none is there, too many are, or one is no spreadsheet by its name.
    """
    named = [file for file in files if file.filename]
    if not named or len(named) > MOST_FILES:
        raise InputError(Problem(Place(), f"{len(named)} files", f"1 to {MOST_FILES} spreadsheets or engine files"))
    wrong = [str(file.filename) for file in named if Path(str(file.filename)).suffix.lower() not in ENDINGS]
    if wrong:
        raise InputError(Problem(Place(), ", ".join(wrong), f"files whose names end in {', '.join(ENDINGS)}"))
    _forget_old(parent)
    pile = Pile(parent / "dropped" / secrets.token_urlsafe(12))
    pile.folder.mkdir(parents=True, mode=0o700)
    for number, file in enumerate(named, start=1):
        file.save(_free_name(pile.folder, str(file.filename), number))
    return pile


def _free_name(folder: Path, given: str, number: int) -> Path:
    """Return where a file goes: its own name without anything that could lead out of the folder."""
    stem, ending = Path(given.replace("\\", "/")).stem, Path(given).suffix.lower()
    plain = re.sub(r"[^\w .()+-]", "_", stem).strip(" .")[:80] or f"book {number}"
    path = folder / f"{plain}{ending}"
    return path if not path.exists() else folder / f"{plain} {number}{ending}"


def _forget_old(parent: Path) -> None:
    folder = parent / "dropped"
    for old in folder.iterdir() if folder.is_dir() else ():
        if time.time() - old.stat().st_mtime > KEPT_SECONDS:
            shutil.rmtree(old, ignore_errors=True)


def find_pile(parent: Path, token: str) -> Pile:
    """Return what was dropped under a token.

    Raises
    ------
    InputError
        When it is not there any more.
    """
    folder = parent / "dropped" / token
    if not _TOKEN.fullmatch(token) or not folder.is_dir():
        mend = "Drop the spreadsheet again: what was loaded of it before is safe."
        raise InputError(Problem(Place(), "", "spreadsheets that were dropped here in the last two days", mend))
    kept = folder / SAID_FILE
    answers, columns = msgspec.json.decode(kept.read_bytes(), type=SaidOfPile) if kept.exists() else ([], [])
    return Pile(folder, answers, columns)


def keep_said(pile: Pile) -> None:
    """Keep what was said of the books, beside them."""
    (pile.folder / SAID_FILE).write_bytes(msgspec.json.encode((pile.answers, pile.columns)))


def forget(pile: Pile) -> None:
    """Throw away what was dropped."""
    shutil.rmtree(pile.folder, ignore_errors=True)


def remember_layouts(books: Books, pile: Pile, parent: Path) -> None:
    """Remember what was answered for every book of the same layout that is dropped from now on."""
    if keep_learned(books.learned):
        shutil.copyfile(pile.folder / FILE_NAME, parent / FILE_NAME)
