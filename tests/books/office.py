"""LibreOffice, a real spreadsheet program: opens a book, works out its formulas, saves it in a format of its own."""

from __future__ import annotations

import shutil
import subprocess
from collections.abc import Sequence
from pathlib import Path

import pytest

from stackopt.books.files.reading import read_sheets
from stackopt.books.files.sheets import Cell, Flaw

SOFFICE = shutil.which("soffice")
needs_program = pytest.mark.skipif(SOFFICE is None, reason="LibreOffice is not installed (Debian: libreoffice-calc)")
# Every sheet to a file of its own: comma, quotation mark, UTF-8, cells as shown (the last of the twelve: all sheets).
CSV = "csv:Text - txt - csv (StarCalc):44,34,76,1,,0,false,true,false,false,false,-1"


def saved(paths: Sequence[Path], kind: str, folder: Path) -> list[list[Path]]:
    """Let LibreOffice save books as another kind; return the files that each book became, one but for `.csv`."""
    profile = f"-env:UserInstallation=file://{folder.parent / 'profile'}"
    conversion = CSV if kind == "csv" else kind
    words = [SOFFICE, profile, "--headless", "--convert-to", conversion, "--outdir", str(folder), *map(str, paths)]
    done = subprocess.run(words, check=True, capture_output=True, timeout=120 + 5 * len(paths))
    pattern = "{}-*.csv" if kind == "csv" else f"{{}}.{kind}"
    files = [sorted(folder.glob(pattern.format(path.stem))) for path in paths]
    assert all(files), done.stderr
    return files


def recalculated(path: Path) -> dict[str, list[list[Cell]]]:
    """The cells of a workbook, by sheet, as LibreOffice saves them after it has worked out every formula."""
    ((out,),) = saved([path], "xlsx", path.parent / "saved")
    return cells(out)


def cells(path: Path) -> dict[str, list[list[Cell]]]:
    """The cells of a workbook by sheet; an error stands there as a `Flaw`, which calamine alone would show as empty."""
    return {sheet.name: sheet.rows for sheet in read_sheets(path)}


def errors(sheets: dict[str, list[list[Cell]]]) -> list[str]:
    return [cell.text for rows in sheets.values() for row in rows for cell in row if isinstance(cell, Flaw)]
