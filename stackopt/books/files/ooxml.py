"""What an `.xlsx` sheet says beside its values: errors, formulas never calculated, hidden rows, how far it reaches."""

from __future__ import annotations

import html
import posixpath
import re
from collections.abc import Callable, Collection, Iterator, Mapping
from xml.etree import ElementTree

from msgspec import Struct, field

from stackopt.books.files.formats import Look, Shown, looking_styles, styled_cells
from stackopt.books.files.sheets import Flaw, Merge, Uncalculated, column_number

_MAIN_PREFIX = re.compile(rb"<(\w+:)?worksheet\b")
_REFERENCE = re.compile(rb"""\sr=["']([A-Za-z]{1,3})(\d+)["']""")
_ROW_NUMBER = re.compile(rb"""\sr=["'](\d+)["']""")
_COLUMN = re.compile(rb"<(?:\w+:)?col\s[^>]*>")
MOST_COLUMNS = 16_384
_HIDDEN = re.compile(rb"""hidden=["'](?:1|true)["']""")
# A height or a width of nothing hides as well.
_NO_HEIGHT = re.compile(rb"""ht=["']0(?:\.0+)?["']""")
_NO_WIDTH = re.compile(rb"""width=["']0(?:\.0+)?["']""")
# The result of a formula that is a text; where none stands behind it, it is the empty text.
_TEXT_TYPE = re.compile(rb"""\st=["']str["']""")
_CALCULATE_ANEW = re.compile(rb"""<(?:\w+:)?calcPr\b[^>]*\b(?:fullCalcOnLoad|forceFullCalc)=["'](?:1|true)["']""")
_ERROR_TYPE = re.compile(rb"""t=["']e["']""")
_VALUE = re.compile(rb"<(?:\w+:)?v>([^<]+)</|<(?:\w+:)?is>")

_FAR_COLUMN = re.compile(rb"""r=["']([A-Za-z]{2,})\d""")
_REFERENCES = re.compile(rb"""r=["']([A-Za-z]{1,3})(\d{1,7})["']""")
_FILLED_ROW = re.compile(rb"""<(?:\w+:)?row\b[^>]*?\sr=["'](\d{1,7})["'](?:[^>]*[^/>])?>""")
_SHARED_CELL = re.compile(rb"""\st=["']s["'][^>]*>\s*<(?:\w+:)?v>(\d{1,9})<""")
_TEXT_CELL = re.compile(rb"""\st=["'](?:s|inlineStr)["']""")
_STRIKE = re.compile(rb"""<(?:\w+:)?d?strike(?:\s*/>|\s+val=["'](?:1|true|on)["'])""")
_FIRST_TEXT = re.compile(rb"<(?:\w+:)?si\b")
_TEXT_END = re.compile(rb"</(?:\w+:)?si>")
# <c t="s"><v>0</v></c>
SHORTEST_SHARED_CELL = 21

_COMMENTED = re.compile(r"\$?([A-Za-z]{1,3})\$?(\d{1,7})")
_COMMENTS = ("/comments", "/threadedComment")
# What Excel writes into a note of its own beside a threaded comment, for programs that know no threads.
_STAND_IN = "[Threaded comment]"
_RELATIONSHIP = "{http://schemas.openxmlformats.org/officeDocument/2006/relationships}id"
_STRICT_RELATIONSHIP = "{http://purl.oclc.org/ooxml/officeDocument/relationships}id"


class SheetRemarks(Struct, frozen=True):
    """Flaws and telling formats by (row, column), what is hidden, merged ranges that the reader does not tell.

    `struck` are the rows with a text that is struck out, `comments` what hangs on cells; `looks` as in `Sheet`. All are
    counted from 0.
    """

    flaws: Mapping[tuple[int, int], Flaw] = field(default_factory=dict)
    hidden_rows: frozenset[int] = frozenset()
    shows: Mapping[tuple[int, int], Shown] = field(default_factory=dict)
    merges: tuple[Merge, ...] = ()
    hidden_columns: frozenset[int] = frozenset()
    struck: frozenset[int] = frozenset()
    comments: Mapping[tuple[int, int], str] = field(default_factory=dict)
    looks: Callable[[], Mapping[tuple[int, int], Look]] = dict


class SheetLooks(Struct, frozen=True):
    """How the cells of a sheet write numbers out, where a format fixes their decimals; worked out when it is called."""

    xml: bytes
    styles_xml: bytes

    def __call__(self) -> dict[tuple[int, int], Look]:
        """Return the looks by row and column."""
        styled = styled_cells(self.xml, looking_styles(self.styles_xml))
        references = ((_REFERENCE.search(tag), look) for tag, look in styled)
        return {_cell_of(reference): look for reference, look in references if reference}


def error_flaw(text: str) -> Flaw:
    """Return the flaw of a cell that shows an error."""
    return Flaw(text, "a value, not an error of a formula", "Mend the formula, or write the value itself.")


def uncalculated_flaw(formula: str) -> Flaw:
    """Return the flaw of a formula whose result was never stored."""
    mend = "Open the book in a spreadsheet program, let it calculate, and save it."
    return Uncalculated(f"={formula}", "a formula whose result is stored in the book", mend)


def must_be_calculated(parts: Mapping[str, bytes]) -> bool:
    """Tell whether a book says that its formulas are to be calculated anew when it is opened."""
    book = next((part for name, part in parts.items() if name.lower() == "xl/workbook.xml"), b"")
    return _CALCULATE_ANEW.search(book) is not None


def struck_texts(strings_xml: bytes) -> frozenset[bytes]:
    """Return the numbers of the shared texts of which a part is struck out."""
    if not _STRIKE.search(strings_xml):
        return frozenset()
    texts = _FIRST_TEXT.split(strings_xml)[1:]
    return frozenset(b"%d" % at for at, text in enumerate(texts) if _STRIKE.search(text))


def remarks(
    xml: bytes,
    styles: Mapping[int, Shown],
    struck: frozenset[int] = frozenset(),
    struck_parts: frozenset[bytes] = frozenset(),
    *,
    trust_results: bool = True,
) -> SheetRemarks:
    """Read flaws, hidden rows and columns, and telling formats from the XML of one sheet; quick where there are none.

    `struck` are the styles whose font is struck out, `struck_parts` the shared texts of which a part is.

    Without `trust_results` every formula is a flaw, whatever result is stored beside it.
    """
    flaws: dict[tuple[int, int], Flaw] = {}
    prefix = _prefix(xml)
    errors = _cells_around(xml, _ERROR_TYPE, prefix) if _mentions(xml, b't="e"') else ()
    for start, cell in errors:
        if _ERROR_TYPE.search(cell.partition(b">")[0]):
            flaws[_position(xml, start, cell, prefix)] = error_flaw(_text(_VALUE.search(cell)))
    for start, cell in _cells_around(xml, re.compile(rb"<" + prefix + rb"f[\s/>]"), prefix):
        if not (trust_results and (_VALUE.search(cell) or _TEXT_TYPE.search(cell.partition(b">")[0]))):
            formula = re.search(rb"f(?:\s[^>]*)?>([^<]*)<", cell)
            flaws[_position(xml, start, cell, prefix)] = uncalculated_flaw(_text(formula))
    references = ((_REFERENCE.search(tag), shown) for tag, shown in styled_cells(xml, styles))
    shows = {_cell_of(reference): shown for reference, shown in references if reference}
    crossed = (_REFERENCE.search(tag) for tag, _ in styled_cells(xml, dict.fromkeys(struck, True)))
    struck_rows = frozenset(_cell_of(reference)[0] for reference in crossed if reference)
    struck_rows |= frozenset(_rows_of_parts(xml, struck_parts, prefix))
    hidden_columns = frozenset(_hidden_columns(xml))
    return SheetRemarks(flaws, frozenset(_hidden_rows(xml)), shows, hidden_columns=hidden_columns, struck=struck_rows)


def _rows_of_parts(xml: bytes, struck_parts: frozenset[bytes], prefix: bytes) -> Iterator[int]:
    """Yield the rows with a text of which a part is struck out, shared with other cells or the cell's own."""
    if not struck_parts and b"strike" not in xml:
        return
    for start, cell in _cells_around(xml, _TEXT_CELL, prefix):
        shared = _SHARED_CELL.search(cell)
        if _STRIKE.search(cell) or (shared and shared[1] in struck_parts):
            yield _position(xml, start, cell, prefix)[0]


def _hidden_columns(xml: bytes) -> Iterator[int]:
    for tag in _COLUMN.findall(xml[: max(xml.find(b"sheetData"), 0)]):
        ends = [re.search(rb"""\s%b=["'](\d{1,5})["']""" % name, tag) for name in (b"min", b"max")]
        if (_HIDDEN.search(tag) or _NO_WIDTH.search(tag)) and ends[0] and ends[1]:
            yield from range(int(ends[0][1]) - 1, min(int(ends[1][1]), MOST_COLUMNS))


def _hidden_rows(xml: bytes) -> Iterator[int]:
    """Yield the rows that are not shown; columns, which have no number, may be hidden too."""
    for match in (*_HIDDEN.finditer(xml), *_NO_HEIGHT.finditer(xml)):
        tag = xml[xml.rfind(b"<", 0, match.start()) : xml.find(b">", match.end())]
        number = _ROW_NUMBER.search(tag)
        if number and xml[match.start() - 1 : match.start()].isspace():
            yield int(number[1]) - 1


def _mentions(xml: bytes, text: bytes) -> bool:
    """Tell whether a text stands in the XML, in either kind of quotation marks; few writers use the single ones."""
    return text in xml or (b"'" in xml and text.replace(b'"', b"'") in xml)


def _prefix(xml: bytes) -> bytes:
    match = _MAIN_PREFIX.search(xml)
    return (match[1] or b"") if match else b""


def _text(match: re.Match[bytes] | None) -> str:
    return html.unescape(match[1].decode("utf-8", "replace")) if match and match[1] else "an error"


def _cells_around(xml: bytes, mark: re.Pattern[bytes], prefix: bytes) -> Iterator[tuple[int, bytes]]:
    """Yield start and XML of every cell that holds the mark."""
    opening, closing = b"<" + prefix + b"c ", b"</" + prefix + b"c>"
    for match in mark.finditer(xml):
        start = xml.rfind(opening, 0, match.start() + 1)
        end = xml.find(closing, match.start())
        if start >= 0 and end >= 0:
            yield start, xml[start:end]


def _position(xml: bytes, start: int, cell: bytes, prefix: bytes) -> tuple[int, int]:
    """Return (row, column) of a cell; a writer may leave the reference out, then cells are counted."""
    reference = _REFERENCE.search(cell.partition(b">")[0])
    if reference:
        return _cell_of(reference)
    opening = b"<" + prefix + b"row"
    row_start = xml.rfind(opening, 0, start)
    number = _ROW_NUMBER.search(xml[row_start : xml.find(b">", row_start)])
    row = int(number[1]) - 1 if number else xml.count(opening, 0, start) - 1
    return row, xml.count(b"<" + prefix + b"c ", row_start, start) + xml.count(b"<" + prefix + b"c>", row_start, start)


def _cell_of(reference: re.Match[bytes]) -> tuple[int, int]:
    return int(reference[2]) - 1, column_number(reference[1].decode())


def sheet_parts(parts: Mapping[str, bytes]) -> dict[str, bytes]:
    """Return the XML of every sheet by the sheet's name; empty when the book's own index cannot be followed."""
    by_lower_name = {name.lower(): part for name, part in parts.items()}
    try:
        book = ElementTree.fromstring(by_lower_name["xl/workbook.xml"])
        links = ElementTree.fromstring(by_lower_name["xl/_rels/workbook.xml.rels"])
    except (KeyError, ElementTree.ParseError):
        return {}
    targets = {link.get("Id"): link.get("Target", "") for link in links}
    found = {}
    for sheet in book.iterfind("{*}sheets/{*}sheet"):
        link = sheet.get(_RELATIONSHIP) or sheet.get(_STRICT_RELATIONSHIP)
        target = targets.get(link, "").lstrip("/").removeprefix("xl/").lower()
        xml = by_lower_name.get(f"xl/{target}")
        if xml is not None:
            found[sheet.get("name", "")] = xml
    return found


def extent(xml: bytes) -> tuple[int, int]:
    """Return how many rows and columns the cells of a sheet can span at most; quick for ordinary sheets.

    References are compared only beyond 26 columns or where the last row stands beyond 99,999. A sheet of 26 columns is
    within bounds even where its rows are out of order.
    """
    last_row = _ROW_NUMBER.search(xml, max(xml.rfind(b"<" + _prefix(xml) + b"row"), 0))
    if (last_row is None or len(last_row[1]) < 6) and not _FAR_COLUMN.search(xml):
        return 99_999, 26
    columns, rows = 0, 0
    for match in _REFERENCES.finditer(xml):
        columns, rows = max(columns, column_number(match[1].decode())), max(rows, int(match[2]))
    filled_rows = (int(match[1]) for match in _FILLED_ROW.finditer(xml))
    return max(rows, *filled_rows, 0), columns + 1


def shared_text_bytes(strings: bytes, sheets: Collection[bytes], enough: int) -> int:
    """Return how many bytes of text the cells hold, when each holds its own copy of a text that they share.

    Where the longest text in every cell would be no more than `enough`, no more than that is worked out.
    """
    first = _FIRST_TEXT.search(strings)
    texts = _TEXT_END.split(strings[first.start() if first else len(strings) :])
    longest = max(map(len, texts))
    at_most = longest * (sum(map(len, sheets)) // SHORTEST_SHARED_CELL)
    if at_most > enough:
        at_most = longest * sum(xml.count(b't="s"') + (xml.count(b"t='s'") if b"'" in xml else 0) for xml in sheets)
    if at_most <= enough:
        return at_most
    indexes = (int(index) for xml in sheets for index in _SHARED_CELL.findall(xml))
    return sum(len(texts[index]) for index in indexes if index < len(texts))


def comments_by_sheet(
    parts: Mapping[str, bytes], xml_by_name: Mapping[str, bytes]
) -> dict[str, dict[tuple[int, int], str]]:
    """Return the remarks on the cells of each sheet by its name, then by (row, column)."""
    if not any("omment" in name for name in parts):
        return {}
    names = {id(xml): name for name, xml in xml_by_name.items()}
    found: dict[str, dict[tuple[int, int], str]] = {}
    for path, xml in parts.items():
        if id(xml) not in names:
            continue
        folder, file = posixpath.split(path)
        links = parts.get(f"{folder}/_rels/{file}.rels", b"")
        for target in _targets(links):
            part = parts.get(posixpath.normpath(posixpath.join(folder, target)).lstrip("/"), b"")
            found.setdefault(names[id(xml)], {}).update(_remarks(part))
    return found


def _targets(links: bytes) -> Iterator[str]:
    for link in _children(links):
        if link.get("Type", "").endswith(_COMMENTS):
            yield link.get("Target", "")


def _remarks(part: bytes) -> Iterator[tuple[tuple[int, int], str]]:
    for comment in _children(part):
        entries = [comment] if comment.get("ref") else list(comment)
        for entry in entries:
            cell = _COMMENTED.fullmatch(entry.get("ref", ""))
            text = " ".join("".join(entry.itertext()).split())
            if cell and text and not text.startswith(_STAND_IN):
                yield (int(cell[2]) - 1, column_number(cell[1])), text


def _children(xml: bytes) -> list[ElementTree.Element]:
    try:
        return list(ElementTree.fromstring(xml)) if xml else []
    except ElementTree.ParseError:
        return []
