"""Results stored beside formulas, so that a preview, a phone or a library that works nothing out shows them too.

openpyxl writes a formula or its result, never both. So the results are put into the file that it wrote, in the place
that ECMA-376 part 1, 18.3.1.4 and 18.3.1.96 gives them: ``<c><f>…</f><v>result</v></c>``.
"""

from __future__ import annotations

import io
import re
import zipfile
from collections.abc import Mapping
from datetime import date, datetime, time, timedelta
from pathlib import Path
from xml.sax.saxutils import escape

from openpyxl import Workbook
from openpyxl.utils.datetime import to_excel

from stackopt.books.files.ooxml import must_be_calculated

Result = str | bool | int | float | date | time | timedelta | None
# By the number of the sheet in its book, from 1, then by cell.
Results = Mapping[int, Mapping[str, Result]]

_FORMULA = re.compile(r'<c r="([A-Z]+\d+)"([^>]*)>(<f\b(?:[^>]*/>|.*?</f>))<v ?(?:/>|></v>)</c>', re.DOTALL)
_TYPE = re.compile(r' t="\w+"')


def packed_with_results(workbook: Workbook, results: Results) -> bytes:
    """Return a workbook as the bytes of its file, with what its formulas come to.

    Parameters
    ----------
    workbook
        The book.
    results
        What formulas come to, by sheet and cell; a formula that is not among them keeps none.
    """
    plain, out = io.BytesIO(), io.BytesIO()
    workbook.save(plain)
    pages = {f"xl/worksheets/sheet{number}.xml": cells for number, cells in results.items() if cells}
    with zipfile.ZipFile(plain) as before, zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as after:
        for entry in before.infolist():
            part = before.read(entry)
            cells = pages.get(entry.filename)
            after.writestr(entry, part if cells is None else _filled(part.decode(), cells).encode())
    return out.getvalue()


def asks_to_be_calculated(book: Path) -> bool:
    """Tell whether an `.xlsx` file says that its formulas must be worked out anew when it is opened."""
    with zipfile.ZipFile(book) as archive:
        parts = {name: archive.read(name) for name in archive.namelist() if name.lower() == "xl/workbook.xml"}
    return must_be_calculated(parts)


def _filled(xml: str, cells: Mapping[str, Result]) -> str:
    def with_result(found: re.Match[str]) -> str:
        reference, attributes, formula = found.groups()
        result = cells.get(reference)
        if result is None:
            return found[0]
        kind, text = _stored(result)
        return f'<c r="{reference}"{_TYPE.sub("", attributes)}{kind}>{formula}<v>{escape(text)}</v></c>'

    return _FORMULA.sub(with_result, xml)


def _stored(result: Result) -> tuple[str, str]:
    """Return the type of a cell, and its result as it is stored."""
    if isinstance(result, bool):
        return ' t="b"', str(int(result))
    if isinstance(result, str):
        return (' t="e"' if result.startswith("#") and result.endswith(("!", "?", "A")) else ' t="str"'), result
    if isinstance(result, date | datetime | time | timedelta):
        return "", repr(to_excel(result))
    return "", repr(result)
