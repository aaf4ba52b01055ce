"""What descriptions say beside the other columns: families that no column names, another kind, another thickness."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Sequence

from msgspec.structs import replace

from stackopt.books.asked.remarks import LEAVE_ROW_OUT, USED
from stackopt.books.files.sheets import Cell
from stackopt.books.tables.body import DistinctCells
from stackopt.books.tables.columns import Reader
from stackopt.books.tables.table import Table
from stackopt.books.words.describing.families import codes_named
from stackopt.books.words.describing.kinds import kind_described
from stackopt.books.words.vocabulary import Role
from stackopt.parts.part_records import ANY_FAMILY, Kind
from stackopt.problems import Question, plain_key
from stackopt.units import LENGTH_UNITS

# A new gasket may be thicker than it is once crushed, but not by more than this, and never thinner.
MOST_CRUSHED, DIGITS_LEFT_OUT_MM = 1.4, 0.02
_LENGTH = re.compile(r"""(?<![\w.,x×/-])(\d*[.,]?\d+)\s*(mm|in\b|inch\b|"|thou\b)(?!\s*[x×])""", re.IGNORECASE)
_OF_SEVERAL = re.compile(
    r"\b(?:packs?|sets?|box|bags?) of \d+|\b\d+[- ]?packs?\b|\bpairs?\b|[(x×]\s?\d+\s?(?:pcs?|pieces|off)?\)"
    r"|\bper \d+\b",
    re.IGNORECASE,
)


AS_DESCRIBED = "the codes that each description names"
MOST_CODES_SHOWN = 4
# What the families of a row without a code are taken for, so that it is asked about.
UNNAMED = "none named"


def with_families_described(table: Table) -> Table:
    """Return a stock list whose parts fit what their descriptions name, where no column says it and the user does."""
    described = table.cells.get("description", ())
    if table.layout.role is not Role.STOCK or "fits" in table.cells or not described:
        return table
    numbers = table.cells.get("part number", [""] * len(described))
    codes = [
        tuple(code for code in codes_named(str(cell)) if code != str(number))
        for cell, number in zip(described, numbers, strict=True)
    ]
    if not _are_families(codes):
        return table
    named = list(dict.fromkeys(code for row in codes for code in row))
    shown = ", ".join(named[:MOST_CODES_SHOWN]) + (", …" if len(named) > MOST_CODES_SHOWN else "")
    found = f"no column of what a part fits, and descriptions that name {shown}"
    expected = "to know what the parts fit"
    question = Question(table.sheet.whole_place, found, expected, (AS_DESCRIBED, ANY_FAMILY), "fits of descriptions")
    if table.inquiry.ask(question, of=table.identity) != AS_DESCRIBED:
        return table
    cells = {**table.cells, "fits": [";".join(row) or UNNAMED for row in codes]}
    table.account.said.append("what a part fits is read from its description, as you said")
    return replace(table, cells=cells, distinct=DistinctCells(cells))


def _are_families(codes: Sequence[tuple[str, ...]]) -> bool:
    """Tell whether codes look like families: most rows name one, and rows share them."""
    naming = [row for row in codes if row]
    shared = Counter(code for row in codes for code in row)
    return 2 * len(naming) > len(codes) and (len(codes) == 1 or any(rows > 1 for rows in shared.values()))


def ask_about_descriptions(reader: Reader, kinds: Sequence[object], thick_mm: Sequence[object]) -> None:
    """Ask about each row whose description speaks against it; it is left out until that is answered."""
    said = reader.table.cells.get("description", ())
    of_prices = reader.table.layout.role is Role.OFFERS and not reader.has("pack")
    if not said or not (kinds or thick_mm or of_prices):
        return
    looked_at: dict[tuple[Cell, object, object], str] = {}
    silent = [None] * len(said)
    for position, row in enumerate(zip(said, kinds or silent, thick_mm or silent, strict=True)):
        if row not in looked_at:
            looked_at[row] = _against(*row, of_prices=of_prices)
        if looked_at[row]:
            _ask(reader, position, str(row[0]), looked_at[row])


def _against(cell: Cell, kind: object, thick_mm: object, *, of_prices: bool) -> str:
    """Return what a description says against its row; empty where it agrees."""
    if not isinstance(cell, str):
        return ""
    described = kind_described(cell)
    if isinstance(kind, Kind) and described not in (None, kind):
        return f"{described}, in a row of a {kind}"
    lengths = _LENGTH.findall(cell)
    if len(lengths) == 1 and isinstance(thick_mm, float) and kind in (Kind.BASE_GASKET, Kind.HEAD_GASKET):
        mm = float(lengths[0][0].replace(",", ".")) * float(LENGTH_UNITS[lengths[0][1].lower()])
        # A longer one is a width or a bore.
        if mm < 5 and not thick_mm - DIGITS_LEFT_OUT_MM <= mm <= thick_mm * MOST_CRUSHED:
            return f"{' '.join(lengths[0])}, in a row of {thick_mm:.4g} mm"
    several = _OF_SEVERAL.search(cell) if of_prices else None
    return f"{several[0]}, and no column says how many a pack has" if several else ""


def _ask(reader: Reader, position: int, text: str, against: str) -> None:
    shown = " ".join(text.split())
    question = Question(
        reader.table.place(position, "description"),
        shown,
        f"a description that agrees with its row: it says {against}",
        (USED, LEAVE_ROW_OUT),
        plain_key(f"description {shown}"),
    )
    if reader.table.inquiry.ask(question) != USED:
        reader.refused.add(position)
