"""What an `.ods` book says beside its values: errors, merged cells, hidden rows, formats, how far its cells reach."""

from __future__ import annotations

import html
import re
from itertools import pairwise

from msgspec import Struct, field

from stackopt.books.files.formats import SEEN_IN_OPEN, Look, Shown, open_formats_tell, open_struck_styles
from stackopt.books.files.ooxml import SheetRemarks, error_flaw, uncalculated_flaw
from stackopt.books.files.sheets import Flaw, Merge, WithUnit

# What makes a row worth a look at each of its cells.
_TRIGGERS = (
    b'="currency"',
    b'="percentage"',
    b"table:formula=",
    b'"error"',
    b"<text:p>#",
    b"<text:p>Err:",
    b"-spanned=",
    b"<office:annotation",
)
_PLAIN = re.compile(r"\d+(?:\.\d+)?")
_FRACTION = re.compile(r"(?:\d+ )?\d+/\d+")
_WRITTEN_OUT = re.compile(r"-?\d+[.,]\d+(?:E[-+]\d+)?")
_AROUND = re.compile(r"(\D*?)[-+]?\d[\d.,'’\s]*(?:E[-+]?\d+)?(.*)", re.DOTALL)
_LETTER = re.compile(r"[^\W\d_]")
_DECIMALS = re.compile(r"\d[.,]\d")
_TABLE_OR_ROW = re.compile(rb"<table:(?:table|table-row)(?=[ >])")
_TAG = re.compile(rb"<table:(?:table-cell|covered-table-cell)\b([^>]*)>(?:<text:p>([^<]*)</text:p>|(<text:p/>))?")
_COLUMN = re.compile(rb"<table:table-column\b[^>]*>")
_EMPTY_TAIL = re.compile(rb'<table:table-cell[^>]*columns-repeated="\d+"/>\s*</table:table-row>')
_REPEATED = re.compile(rb'number-columns-repeated="(\d+)"')
_LONG_REPEAT = re.compile(rb'number-(rows|columns)-repeated="(\d{2,})"')
MOST_SMALL_REPEATS = 1000
_COMMENT_TAG = b"<office:annotation"
_COMMENT = re.compile(rb"<office:annotation\b.*?</office:annotation>", re.DOTALL)
_CELL_OR_COMMENT = re.compile(
    rb"<table:(?:covered-)?table-cell\b(?P<attributes>[^>]*)>|(?P<comment><office:annotation\b.*?</office:annotation>)",
    re.DOTALL,
)
_WRITER = re.compile(rb"<(dc:creator|dc:date|meta:\w+)\b.*?</\1>", re.DOTALL)
_TAGS = re.compile(rb"<[^>]*>")
_ATTRIBUTE = re.compile(rb'([\w:-]+)="([^"]*)"')
LONGEST_HIDDEN = 10_000
_ERROR = re.compile(r"#[A-Z0-9/]+[!?]?|Err:\d{3}")
_PADDED = re.compile(r"0\d+|\d+(?:[-/ ]\d+)+")


class OpenSheet(Struct):
    """One sheet while its tags are read: where the next cell stands, what was remarked, how far its cells reach."""

    name: str
    row: int = -1
    rows_repeated: int = 1
    column: int = 0
    last_row: int = 0
    last_column: int = 0
    flaws: dict[tuple[int, int], Flaw] = field(default_factory=dict)
    shows: dict[tuple[int, int], Shown] = field(default_factory=dict)
    hidden_rows: set[int] = field(default_factory=set)
    hidden_columns: set[int] = field(default_factory=set)
    struck_styles: frozenset[bytes] = frozenset()
    struck: set[int] = field(default_factory=set)
    looks: dict[tuple[int, int], Look] = field(default_factory=dict)
    merges: list[Merge] = field(default_factory=list)
    comments: dict[tuple[int, int], str] = field(default_factory=dict)

    def add_row(self, attributes: dict[bytes, bytes], cells: bytes, look: bool) -> None:
        """Go to the next row; the one before may stand for several."""
        self.row += self.rows_repeated if self.row >= 0 else 1
        self.rows_repeated = int(attributes.get(b"table:number-rows-repeated", 1))
        self.column = 0
        if attributes.get(b"table:visibility") in (b"collapse", b"filter"):
            self.hidden_rows.update(range(self.row, self.row + min(self.rows_repeated, LONGEST_HIDDEN)))
        if self.struck_styles and any(
            b'<text:span text:style-name="%b"' % name in cells for name in self.struck_styles
        ):
            self.struck.add(self.row)
        if look or any(trigger in cells for trigger in _TRIGGERS):
            if _COMMENT_TAG in cells:
                cells = self._without_comments(cells)
            for raw_attributes, text, empty in _TAG.findall(cells):
                shown = html.unescape(text.decode("utf-8", "replace"))
                self._add_cell(dict(_ATTRIBUTE.findall(raw_attributes)), shown, is_empty_text=bool(empty))
        elif b"office:value-type" in cells:
            self._reach(_width_at_most(cells))

    def _without_comments(self, cells: bytes) -> bytes:
        """Note the remarks that hang on the cells of the row; return its tags without them."""
        column = 0
        for tag in _CELL_OR_COMMENT.finditer(cells):
            if tag["attributes"] is not None:
                here, column = column, column + int(_repeats(tag["attributes"]))
            elif text := _plain(tag["comment"]):
                self.comments[self.row, here] = text
        return _COMMENT.sub(b"", cells)

    def _reach(self, columns: int) -> None:
        self.last_row = max(self.last_row, self.row + self.rows_repeated)
        self.last_column = max(self.last_column, columns)

    def add_columns(self, head: bytes) -> None:
        """Note which columns are not shown, from what stands before the first row."""
        at = 0
        for tag in _COLUMN.findall(head):
            attributes = dict(_ATTRIBUTE.findall(tag))
            repeated = int(attributes.get(b"table:number-columns-repeated", 1))
            if attributes.get(b"table:visibility") in (b"collapse", b"filter"):
                self.hidden_columns.update(range(at, at + min(repeated, LONGEST_HIDDEN)))
            at += repeated

    def _add_cell(self, attributes: dict[bytes, bytes], text: str, *, is_empty_text: bool) -> None:
        """Remark what a cell says, and go to the next."""
        repeated = int(attributes.get(b"table:number-columns-repeated", 1))
        if b"office:value-type" in attributes or b"table:formula" in attributes:
            self._reach(self.column + repeated)
            if not (is_empty_text and b"office:value-type" not in attributes):
                self._remark(attributes, text)
            if attributes.get(b"table:style-name") in self.struck_styles:
                self.struck.add(self.row)
        down = int(attributes.get(b"table:number-rows-spanned", 1))
        right = int(attributes.get(b"table:number-columns-spanned", 1))
        if down > 1 or right > 1:
            self.merges.append(Merge(self.row, self.column, self.row + down - 1, self.column + right - 1))
        self.column += repeated

    def _remark(self, attributes: dict[bytes, bytes], text: str) -> None:
        is_error = attributes.get(b"calcext:value-type") == b"error"
        if is_error or (b"table:formula" in attributes and _ERROR.fullmatch(text)):
            self.flaws[self.row, self.column] = error_flaw(text or "an error")
        elif b"table:formula" in attributes and b"office:value-type" not in attributes:
            formula = html.unescape(attributes[b"table:formula"].decode("utf-8", "replace"))
            self.flaws[self.row, self.column] = uncalculated_flaw(formula.removeprefix("of:").removeprefix("="))
        elif attributes.get(b"office:value-type") == b"percentage":
            self.shows[self.row, self.column] = lambda number: WithUnit(round(number * 100, 10), "%")
        elif attributes.get(b"office:value-type") == b"currency" and b"office:currency" in attributes:
            code = attributes[b"office:currency"].decode("utf-8", "replace").lower()
            self.shows[self.row, self.column] = lambda number: WithUnit(number, code)
        elif attributes.get(b"office:value-type") == b"float":
            shown = _shown(text) or _scaled(text, attributes.get(b"office:value", b""))
            if shown is not None:
                self.shows[self.row, self.column] = shown
            elif _WRITTEN_OUT.fullmatch(text) and text.encode() != attributes.get(b"office:value"):
                self.looks[self.row, self.column] = lambda _number: text

    def remarks(self) -> SheetRemarks:
        """Return what was remarked."""
        return SheetRemarks(
            self.flaws,
            frozenset(self.hidden_rows),
            self.shows,
            tuple(self.merges),
            frozenset(self.hidden_columns),
            frozenset(self.struck),
            comments=self.comments,
        )


class OpenLooks(Struct, frozen=True):
    """How the numbers of a sheet are written out; worked out when it is called."""

    content: bytes
    name: str

    def __call__(self) -> dict[tuple[int, int], Look]:
        """Return the looks by row and column."""
        sheets = (one for one in _open_sheets(self.content, look=True) if one.name == self.name)
        sheet = next(sheets, None)
        return {} if sheet is None else sheet.looks


def _repeats(attributes: bytes) -> bytes:
    found = _REPEATED.search(attributes)
    return found[1] if found else b"1"


def _plain(comment: bytes) -> str:
    """Return the text of a remark without its tags, writer and day."""
    text = _TAGS.sub(b" ", _WRITER.sub(b"", comment))
    return " ".join(html.unescape(text.decode("utf-8", "replace")).split())


def _shown(text: str) -> Shown | None:
    """Return how a number is shown, where that is more than the number; a word alone is shown as it stands."""
    if not text or _FRACTION.fullmatch(text):
        return None
    if _PADDED.fullmatch(text):
        return lambda _number: text
    if text in ("TRUE", "FALSE"):
        return bool
    around = _AROUND.fullmatch(text)
    before, behind = (around[1].strip(), around[2].strip().lower()) if around else (text, "")
    if not SEEN_IN_OPEN.search(before + behind):
        return None
    if not _LETTER.search(before) or _DECIMALS.search(text):
        unit = " ".join(f"{before} {behind}".lower().split())
        return lambda number: WithUnit(number, unit)
    return lambda _number: text


def _scaled(text: str, stored: bytes) -> Shown | None:
    """Return how a number is shown that its format divides by a thousand; None where it is not divided."""
    if not _PLAIN.fullmatch(text) or not _PLAIN.fullmatch(stored.decode("utf-8", "replace")):
        return None
    value, shown, decimals = float(stored), float(text), len(text.partition(".")[2])
    if round(value, decimals) == shown or round(value / 1000, decimals) != shown:
        return None
    return lambda number: WithUnit(number / 1000, "thousand")


def _width_at_most(cells: bytes) -> int:
    """Return how many columns a row fills at most: its tags and their repeats, without the empty ones at the end."""
    repeated = [int(count) for count in _REPEATED.findall(cells)]
    tail = _EMPTY_TAIL.search(cells) if repeated else None
    if tail and b"office:value" not in tail[0]:
        repeated.pop()
    return cells.count(b"<table:table-cell") + cells.count(b"<table:covered-table-cell") + sum(repeated)


def remarks(content: bytes, styles: bytes) -> dict[str, SheetRemarks]:
    """Read the remarks of every sheet, by its name, from the book's content and its named styles.

    Quick where there are none.

    Raises
    ------
    ValueError
        When a count in the file is no number.
    """
    own_styles = content[: content.find(b"<office:body")]
    struck = frozenset(name for one in (own_styles, styles) for name in open_struck_styles(one))
    look = bool(struck) or open_formats_tell(own_styles) or open_formats_tell(styles)
    if not look and not any(mark in content for mark in (*_TRIGGERS, b"table:visibility=")):
        return {}
    return {sheet.name: sheet.remarks() for sheet in _open_sheets(content, look, struck)}


def extents(content: bytes) -> dict[str, tuple[int, int]]:
    """Return how many rows and columns the cells of each sheet span at most; none where all are ordinary.

    An ordinary sheet repeats many cells only at the end of a row, and many rows only where they are empty and the last.

    Raises
    ------
    ValueError
        When a count in the file is no number.
    """
    if not _repeats_much(content):
        return {}
    return {sheet.name: (sheet.last_row, sheet.last_column) for sheet in _open_sheets(content, look=False)}


def _repeats_much(content: bytes) -> bool:
    """Tell whether cells or rows are repeated where that makes a sheet larger."""
    small_repeats = 0
    for match in _LONG_REPEAT.finditer(content):
        if match[1] == b"rows":
            row_end = content.find(b"</table:table-row>", match.end())
            table_end = content.find(b"</table:table>", match.end())
            if b"office:value-type" in content[match.end() : max(row_end, table_end)]:
                return True
            continue
        tag_start = content.rfind(b"<", 0, match.start())
        if content.startswith(b"<table:table-column", tag_start):
            continue
        is_filled = b"office:value" in content[tag_start : content.find(b">", match.end())]
        if is_filled or not content.startswith(b"/></table:table-row>", match.end()):
            if len(match[2]) > 2:
                return True
            small_repeats += 1
    return small_repeats > MOST_SMALL_REPEATS or b"columns-repeated='" in content


def _open_sheets(content: bytes, look: bool, struck: frozenset[bytes] = frozenset()) -> list[OpenSheet]:
    """Read the tags of all sheets, row by row; quick for rows that hold values and nothing else."""
    sheets: list[OpenSheet] = []
    starts = [*(match.start() for match in _TABLE_OR_ROW.finditer(content)), len(content)]
    for start, end in pairwise(starts):
        tag_end = content.find(b">", start)
        attributes = dict(_ATTRIBUTE.findall(content, start, tag_end))
        if content.startswith(b"<table:table-row", start):
            if sheets:
                sheets[-1].add_row(attributes, content[tag_end:end], look)
        else:
            name = html.unescape(attributes.get(b"table:name", b"").decode("utf-8", "replace"))
            sheets.append(OpenSheet(name, struck_styles=struck))
            sheets[-1].add_columns(content[tag_end:end])
    return sheets
