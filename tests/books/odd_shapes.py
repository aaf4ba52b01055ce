"""Lists as programs print them and as people fill them in: subtotals, signatures, marks, flags, words beside figures.

Stated as in `odd_lists`: what a careful person reads, written down by hand before the list was tried.
"""

from __future__ import annotations

from tests.books.odd_figures import PRICES_OF_THREE, ROWS, THREE_OFFERS, THREE_ROWS, USES
from tests.books.odd_lists import SHELF, OddList


def _list(*rows: str, shelf: dict[str, tuple[float, int]] | None = None, asked: tuple[str, ...] = ()) -> OddList:
    return OddList("\n".join((*rows, "")), THREE_ROWS if shelf is None else shelf, asked=asked)


def _with(header: str, second: str, *asked: str, others: str = "") -> OddList:
    """Return a shelf with one more column, in which the second row says something."""
    left = {part: said for part, said in THREE_ROWS.items() if part != "BG-2"} if asked else THREE_ROWS
    cells = (others, second, others)
    rows = (f"{row},{cell}" for row, cell in zip(ROWS, cells, strict=True))
    whole = any(item.startswith("column") for item in asked)
    return _list(f"{SHELF},{header}", *rows, shelf={} if whole else left, asked=asked)


def _fourth(cell: str, mm: float | None, *asked: str) -> OddList:
    shelf = THREE_ROWS if mm is None else {**THREE_ROWS, "BG9": (mm, 4)}
    return _list(SHELF, *ROWS, f'BG9,base gasket,KV82,"{cell}",4', shelf=shelf, asked=asked)


def _count(cell: str, count: int) -> OddList:
    return _list(SHELF, *ROWS, f"BG9,base gasket,KV82,0.6,{cell}", shelf={**THREE_ROWS, "BG9": (0.6, count)})


def _price(cell: str, cents: int | None, *asked: str) -> OddList:
    offered = THREE_OFFERS if cents is None else {**THREE_OFFERS, "BG9": (cents, 5)}
    rows = (*PRICES_OF_THREE, f'Varnik,BG9,base gasket,KV82,0.6,"{cell}",5', "")
    return OddList("\n".join(rows), offered=offered, asked=asked)


def _used(*days: str) -> OddList:
    return _list(USES, *(f'BG-{at},"{day}",2' for at, day in enumerate(days)), shelf={})


SHAPES: dict[str, OddList] = {
    # Rows that are no rows.
    "subtotals above what they sum up": _list(SHELF, "Base gaskets,,,,10", *ROWS[:2], "Head gaskets,,,,2", ROWS[2]),
    "columns with numbers": _list(SHELF, "1,2,3,4,5", *ROWS),
    "lines to sign": _list(SHELF, *ROWS, "", "Signed:,______", "Date:,2026-10-12", "Counted by: ,Tilda"),
    "continued overleaf": _list(SHELF, ROWS[0], "continued overleaf", SHELF, *ROWS[1:]),
    # Marks and flags.
    "families with marks": _list(
        "part number,kind,thickness (mm),on hand,KV82,SV95",
        "BG-1,base gasket,0.4,3,x,x",
        "BG-2,base gasket,0.5,7,,",
        shelf={"BG-1": (0.4, 3)},
        asked=("row 3",),
    ),
    "none of them inactive": _with("inactive", "N", others="N"),
    "one of them inactive": _with("inactive", "Y", "column F", others="N"),
    "all of them active": _with("active", "Y", others="Y"),
    "one of them not active": _with("active", "N", "column F", others="Y"),
    "nothing on sales orders": _with("Qty on SO", "0", others="0"),
    "words as programs join them": _list(
        "PartNumber,item_type,Fits,ThicknessMm,qty_on_hand",
        *(row.replace("base gasket", "BaseGasket").replace("head gasket", "head_gasket") for row in ROWS),
    ),
    "a gasket and which in brackets": _list(
        SHELF, *(row.replace("base gasket", "Gasket (base)").replace("head gasket", "Gasket - head") for row in ROWS)
    ),
    "packs of one": OddList(
        "\n".join((f"{PRICES_OF_THREE[0]},VPE", *(f"{line},1" for line in PRICES_OF_THREE[1:]), "")),
        offered=THREE_OFFERS,
    ),
    "pieces for a job": _with("for job", "J-104", "column F"),
    "another family beside": _with("also fits", "SV95", "column F"),
    "a mark under no word": _with("?", "x", "column F"),
    "how many an engine takes": _with("per engine", "2", others="2"),
    "layers and heat": _with("layers", "3", others="1"),
    "cylinders by name under Cyl": _with("cyl", "rear", others="front"),
    "how long an order would take": _with("lead time", "2 weeks", others="5 days"),
    "an empty column to order by": OddList(
        "\n".join((f"{PRICES_OF_THREE[0]},Qty", *(f"{line}," for line in PRICES_OF_THREE[1:]), "")),
        offered=THREE_OFFERS,
    ),
    "a rate of tax beside prices": OddList(
        "\n".join((f"{PRICES_OF_THREE[0]},VAT %", *(f"{line},19" for line in PRICES_OF_THREE[1:]), "")),
        offered=THREE_OFFERS,
    ),
    "an account of the books": _with("Account", "1400", others="1400"),
    "not arrived yet": _with("remarks", "not arrived yet", "F3"),
    "still under way, in German": _with("Bemerkung", "noch unterwegs", "F3"),
    # Words and signs beside figures.
    "a fraction of an inch rule under mm": _fourth("1/32", None, "D5"),
    "a thickness with its tolerance": _fourth("0.60 ± 0.05", 0.6),
    "a thickness said to be crushed": _fourth("0.60 mm crushed", 0.6),
    "a thickness said not to be crushed": _fourth("0.60 mm not crushed", None, "D5"),
    "out of stock": _count("out of stock", 0),
    "a price without tax in its cell": _price("14.50 + VAT", 1450),
    "a net price in its cell": _price("14.50 net", 1450),
    "a price with tax in its cell": _price("14.50 inc VAT", None, "F5"),
    "three digits behind a mark": _price("1.450", None, "F5"),
    "days in German": _used("3. Februar 2026", "4. März 2026", "5. Mrz 26", "6 Sept 2026"),
    "days in French and Spanish": _used("3 février 2026", "4 de marzo de 2026"),
    "days of the week before them": _used("Fri 13 Feb 2026", "Monday, 16 March 2026", "Mo 9.3.2026"),
    "days without marks": _used("20260213", "20260314"),
}


def _noted(note: str, *asked: str, left: tuple[str, ...] = ()) -> OddList:
    """Return a shelf with a note at its foot."""
    is_whole = any(not item or item.startswith("column") for item in asked)
    shelf = {} if is_whole else {part: said for part, said in THREE_ROWS.items() if part not in left}
    return _list(SHELF, *ROWS, "", f'"{note}"', shelf=shelf, asked=asked)


def _priced(note: str, *asked: str) -> OddList:
    rows = (*PRICES_OF_THREE, "", f'"{note}"', "")
    return OddList("\n".join(rows), offered={} if asked else THREE_OFFERS, asked=asked)


NOTES: dict[str, OddList] = {
    "a note on one part": _noted("HG-1 is 0.9 not 0.8", "A4", left=("HG-1",)),
    "whose a part is": _noted("BG-2 belongs to a customer", "A3", left=("BG-2",)),
    "thickness as on the packet": _noted("Thickness as marked on the packet", "column D"),
    "thickness before it is crushed": _noted("All gaskets pre-crush", "column D"),
    "counts of boxes": _noted("Counts of boxes", "column E"),
    "counts without some": _noted("does not include the annex", "column E"),
    "counts that do not hold yet, in French": _noted("inventaire provisoire", "column E"),
    "how parts are ordered": _noted("Ordered by phone usually"),
    "what colours of bins mean": _noted("Blue = copper, grey = paper"),
    "gross prices, in German": _priced("Bruttopreise", "column F"),
    "prices of the day": _priced("Copper gaskets: daily price", "column F"),
    "in multiples": _priced("Order in multiples of 5", "column F"),
    "a longer delivery": _priced("allow extra week in August", "column F"),
    "free delivery over a sum": _priced("Free delivery over 100", "column F"),
    "prices to plan with": _priced("budget prices only", "column F"),
    "a discount that is to be asked for": _priced("quantity discount on request"),
    "a note with commas": _list(SHELF, *ROWS, "Please ask Marta, or Tom, before taking the last one"),
    "an address with commas": OddList(
        "\n".join((*PRICES_OF_THREE, "", "Varnik, Mill Lane, Dorfmoos, tel 0123 456", "")), offered=THREE_OFFERS
    ),
    # Movements.
    "what left with a minus sign": _list(USES, "BG-1,2026-01-12,-2", "BG-2,2026-02-12,-1", shelf={}),
    "a minus sign in some rows": _list(USES, "BG-1,2026-01-12,-2", "BG-2,2026-02-12,5", shelf={}, asked=("column C",)),
    "what was sold": _list("part number,date sold,qty sold,balance", "BG-1,2026-01-12,2,5", shelf={}),
    "what was fitted": _list("Engine,Part,Fitted on,Qty", "J-104,BG-1,2026-01-12,2", shelf={}),
    "what was taken, in German": _list("Artikelnummer;Entnahmedatum;Entnommen", "BG-1;12.01.2026;2", shelf={}),
}
