"""Columns that nobody knows: asked about where their header or their figures could change a fact of their row.

A column of amounts could, whatever its header is: a second price, pieces that are out, how many a pack has. It is left
alone where its header says that it is about something else: a weight, a page, the number of a drawing.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from fractions import Fraction

from msgspec.structs import replace

from stackopt.books.asked.by_content import is_index
from stackopt.books.asked.naming import ASIDE, key_of, likely_names
from stackopt.books.asked.remarks import ask_about_remarks
from stackopt.books.files.sheets import Cell, WithUnit, column_letters, written
from stackopt.books.tables.columns import Reader
from stackopt.books.words.cells import NO, NOTHING, YES
from stackopt.books.words.counts import KNOWN_WORDS, words
from stackopt.books.words.currencies import CURRENCIES
from stackopt.books.words.headers import MatchedColumn, readings
from stackopt.books.words.numerals import numeral
from stackopt.books.words.vocabulary import Measure, Role
from stackopt.problems import Question

# Words of a header that speak of a fact beside it, whatever other words stand there.
TELLING = words(
    "price prices basis per discount rebate surcharge deposit levy moq minimum multiple multiples pack package"
    " box carton eta availability arrival dispatch status hold state condition blocked quarantine quarantined"
    " scrap scrapped damaged faulty defective reserved allocated committed thickness gauge tolerance uncompressed"
    " uncrushed opening crown dish dome valid expiry expires expiration until before life usable useable saleable"
    " sellable ok owner owned orderable optional lead delivery backorder backordered discontinued obsolete eol"
    " currency incl excl including excluding vat inactive disabled deleted archived withdrawn active"
    " job jobs earmarked promised fits fit suits not except only"
)
# Of a stock list: how long an order would take changes nothing that lies there.
_LEAD_TIME = re.compile(r"\s*(?:lead|delivery|supply)[ -]?times?\b.*|\s*lieferzeit\b.*", re.IGNORECASE)
# Shares of tax beside prices without it.
_RATE_OF_TAX = re.compile(
    r"(?:vat|tax|mwst|ust|tva|iva|btw|moms)\s*[(\[]?\s*(?:%|rate|code|key|satz)\s*[)\]]?", re.IGNORECASE
)
# Marks under a header without a word may mean anything.
_NO_WORD = re.compile(r"[?!*+]+")
# Headers of yes and no: what they say changes nothing where every row says this.
NO_OF_ALL = words(
    "inactive disabled deleted archived withdrawn blocked quarantine quarantined scrap scrapped damaged faulty"
    " defective discontinued obsolete eol hold expired backorder backordered"
)
SPANS = words("year annum month week day engine motor bike")
PACKED = words("vpe ve pe pu verpackungseinheit")
JOBS = words("job jobs engine engines bike bikes")
ZEROS = words("0 0.0 0.00 0,0 0,00")
YES_OF_ALL = words("active ok useable usable saleable sellable available orderable")
# Words of a header that do so where none of `OTHERWISE` stands beside them.
PERHAPS = words("unit units uom measure cost net gross quantity free lot stock available superseded")
# What is free of a part: on hand less reserved.
FREE = frozenset({"available", "free", "available quantity", "free quantity", "free stock", "available stock"}) | {
    *("verfügbar", "disponible", "disponibile", "beschikbaar", "tillgängligt")
}
# What a row may say of other things: the part's shape and make, papers, people, places, days, sums and history.
OTHERWISE = words(
    "weight mass length width height depth outer outside od radius hole holes bolt bolts stud studs thread pitch angle"
    " hardness density temperature pressure torque volume area size shape colour color year years model models engines"
    " page pages line row rows sort rank rating class category group series range revision rev version edition drawing"
    " picture photo image link url barcode ean gtin tariff customs hs taric origin country brand make maker"
    " manufacturer bin shelf rack drawer location warehouse store aisle buyer contact phone fax mail email postcode"
    " zip terms payment value worth total totals sum date day updated changed usage consumption demand turnover annual"
    " yearly monthly weekly history abc xyz strokes rpm power cam jet frame mileage"
    " reorder issues sales month months hour hours minutes labour remark remarks note notes comment comments info"
    " layer layers ply plies temp bolted balance saldo remaining account accounts konto ledger centre center department"
)
# What the last word of a header says that names, and counts nothing.
NAMES = words("number code id reference ref key index name type")
# What a stock list may say of selling: it changes nothing that lies on the shelf.
SOLD_AT = words(
    "retail rrp msrp uvp sell selling sale sales resale verkaufspreis vk verkauf pvp vente vendita venta verkoopprijs"
)
SELLING = SOLD_AT | words(
    "price prices recommended customer public excluding including vat net gross each piece prix prezzo precio brutto"
    " netto"
)
# Beginnings of words in other languages that tell the same: of prices, discounts, counts, thicknesses.
STEMS = re.compile(
    r"(?:rabat|remise|sconto|descuento|pre(?:is|zzo|cio)|prix|zuschlag|aufschlag|menge|gesperrt|dicke|[ée]paiss)"
)
# Remarks on suppliers and on work speak of no pieces.
WITHOUT_PIECES = frozenset({Role.SUPPLIERS, Role.SERVICES})
_CODE = re.compile(r"0\d+|\d{6,}|(?:19|20)\d\d")
_BESIDE_AN_AMOUNT = KNOWN_WORDS | CURRENCIES.keys() | {"%"}
_SIGNS = frozenset({"", "+", "-", "−", "–", "±", "+/-", "<", ">"})


def ask_about_unread(reader: Reader) -> None:
    """Ask about columns that are not known but could change a fact, and about remarks in the others."""
    layout = reader.table.layout
    for column in (*layout.unknown, *_untitled(reader)):
        if column.index in layout.aside:
            continue
        cells = [reader.table.sheet.rows[row][column.index] for row in reader.table.rows]
        if all(cell in NOTHING for cell in cells) or _is_what_is_free(reader, column.title, cells):
            continue
        if is_index(map(written, cells)):
            continue
        if _says_nothing_of(reader, column.title, cells):
            continue
        if _could_change(column.title, cells):
            _ask_column(reader, column, cells)
        elif layout.role not in WITHOUT_PIECES:
            ask_about_remarks(reader, column, cells)


def _is_what_is_free(reader: Reader, title: str, cells: Sequence[Cell]) -> bool:
    """Tell whether a column of a stock list is on hand less reserved in every row; it then says nothing new."""
    table = reader.table
    if table.layout.role is not Role.STOCK or not any(reading.words in FREE for reading in readings(title)):
        return False
    on_hand = table.cells.get("on hand", ())
    nothing = ("",) * len(on_hand)
    beside = (table.cells.get("reserved", nothing), table.cells.get("on order", nothing))
    rows = [tuple(map(_whole, row)) for row in zip(on_hand, *beside, cells, strict=False)]
    if not rows or any(row[0] is None for row in rows):
        return False
    counts = [(here or 0, kept or 0, coming or 0, free or 0) for here, kept, coming, free in rows]
    for is_meant, what in (
        (all(here - kept == free for here, kept, _, free in counts), "on hand less reserved"),
        (
            all(here - kept + coming == free for here, kept, coming, free in counts),
            "on hand less reserved, and on order",
        ),
    ):
        if is_meant:
            table.account.said.append(f"{title!r} is {what} in every row")
            return True
    return False


def _speaks_of_selling(title: str) -> bool:
    """Tell whether a header says what pieces are sold at, and nothing else."""
    return any(bool(said & SOLD_AT) and said <= SELLING for said in ({*one.words.split()} for one in readings(title)))


def _says_nothing_of(reader: Reader, title: str, cells: Sequence[Cell]) -> bool:
    """Tell whether a column speaks of what its list is not about: selling beside counts, jobs beside uses."""
    if reader.table.layout.role is Role.USAGE:
        return any({*one.words.split()} & JOBS for one in readings(title))
    if reader.table.layout.role is Role.STOCK:
        return _speaks_of_selling(title) or _LEAD_TIME.fullmatch(title) is not None
    return _speaks_of_selling(title) and _is_above_prices(reader, title, cells)


def _is_above_prices(reader: Reader, title: str, cells: Sequence[Cell]) -> bool:
    """Tell whether a column of a price list is what pieces are sold at: above what is paid for them in every row."""
    prices = next((reader.table.cells[name] for name in ("price", "price each") if name in reader.table.cells), ())
    if reader.table.layout.role is not Role.OFFERS or not prices:
        return False
    pairs = [(_money(sold), _money(paid)) for sold, paid in zip(cells, prices, strict=True) if sold not in NOTHING]
    if any(sold is None or paid is None or sold <= paid for sold, paid in pairs):
        return False
    reader.table.account.said.append(f"{title!r} is above the price in every row: what pieces are sold at; kept aside")
    return True


def _money(cell: Cell) -> Fraction | None:
    text = written(cell)
    read = numeral(text, "," if "," in text and "." not in text else ".")
    return None if read is None else read.value


def _whole(cell: Cell) -> int | None:
    """Return the whole number that a cell holds; None for anything else."""
    if isinstance(cell, bool) or not isinstance(cell, int | float | str):
        return None
    text = written(cell).strip()
    return int(text) if text.isascii() and text.isdecimal() else None


def _untitled(reader: Reader) -> list[MatchedColumn]:
    """Return the columns without a header in which something stands beside the rows; they are kept aside, and told."""
    sheet, layout = reader.table.sheet, reader.table.layout
    titled = {column for column, title in layout.titles.items() if title}
    # What stands behind the last header of a delimited text is asked about row by row.
    width = len(sheet.rows[0]) if sheet.name else max(titled, default=0)
    bare = [at for at in range(width) if at not in titled]
    filled = [at for at in bare if any(sheet.rows[row][at] not in NOTHING for row in reader.table.rows)]
    reader.table.account.kept_aside += [(at, "") for at in filled]
    return [MatchedColumn("", at, "", "", Measure.NONE, "") for at in filled]


def _could_change(title: str, cells: Sequence[Cell]) -> bool:
    """Tell whether a column could change a fact of its row, by its header, else by what stands in it."""
    spoken = [reading.words.split() for reading in readings(title)]
    said = {word for spelled in spoken for word in spelled}
    if any(spelled and spelled[-1] in NAMES for spelled in spoken) or _is_said_of_all(said, cells):
        return False
    if _RATE_OF_TAX.fullmatch(title.strip()) or _NO_WORD.fullmatch(title.strip()):
        return _NO_WORD.fullmatch(title.strip()) is not None
    is_rate = _is_rate(said)
    if (said & TELLING and not is_rate) or any(map(STEMS.match, said)):
        return True
    if said & OTHERWISE or is_rate:
        return False
    return bool(said & PERHAPS) or _holds_amounts(cells)


def _is_said_of_all(said: set[str], cells: Sequence[Cell]) -> bool:
    """Tell whether a column says of every row that nothing is the matter: 0, no under ``blocked``, yes under ``ok``."""
    texts = {str(cell).strip().lower() for cell in cells if cell not in NOTHING}
    if said & PACKED and texts == {"1"}:
        return True
    return texts <= ZEROS or bool(said & NO_OF_ALL and texts <= NO) or bool(said & YES_OF_ALL and texts <= YES)


def _is_rate(said: set[str]) -> bool:
    """Tell whether the words of a header say how much there is in a time, as ``used per year``."""
    return (
        "per" in said
        and bool(said & {"year", "annum", "month", "week", "day", "engine", "motor", "bike"})
        and not said & {"price", "cost"}
    )


def _holds_amounts(cells: Sequence[Cell]) -> bool:
    """Tell whether most of what stands in a column are amounts: counts, money, shares; no years, no long codes."""
    filled = [cell for cell in cells if cell not in NOTHING]
    return sum(map(_is_amount, filled)) * 2 > len(filled)


def _is_amount(cell: Cell) -> bool:
    if isinstance(cell, WithUnit):
        return cell.unit in _BESIDE_AN_AMOUNT
    if isinstance(cell, bool) or not isinstance(cell, str | float | int):
        return False
    text = " ".join(written(cell).split()).strip("()")
    if _CODE.fullmatch(text):
        return False
    read = numeral(text, "," if "," in text and "." not in text else ".")
    return read is not None and read.head in _SIGNS | CURRENCIES.keys() and read.tail in _BESIDE_AN_AMOUNT


def _ask_column(reader: Reader, column: MatchedColumn, cells: Sequence[Cell]) -> None:
    sheet = reader.table.sheet
    layout, letter = reader.table.layout, column_letters(column.index)
    example = next(cell for cell in cells if cell not in NOTHING)
    expected = (
        f"to know whether column {letter} changes a fact of its row: say which it is, also with "
        f"--column '{letter}=HEADER', or keep it aside"
    )
    found = f"{column.title}: {written(example)}"
    names = likely_names(layout, column, of_amounts=_holds_amounts(cells)) if column.title else ()
    question = Question(sheet.column_place(column.index), found, expected, (ASIDE, *names), key_of(column))
    said = reader.table.inquiry.answer(question.key)
    if said is not None and said.casefold() == ASIDE:
        reader.table.inquiry.take(question.key)
    else:
        reader.table.inquiry.put(replace(question, is_open=bool(names)))
