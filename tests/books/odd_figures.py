"""Lists with a figure, a day or a number that cannot be meant; and lists with the like that can.

Stated as in `odd_lists`: what a careful person reads, written down by hand before the list was tried.
"""

from __future__ import annotations

from tests.books.odd_lists import PRICES, SHELF, OddList

ROWS = ("BG-1,base gasket,KV82,0.4,3", "BG-2,base gasket,KV82,0.5,7", "HG-1,head gasket,KV82,0.8,2")
THREE_ROWS = {"BG-1": (0.4, 3), "BG-2": (0.5, 7), "HG-1": (0.8, 2)}
LINES = tuple(
    f"Varnik,{described},{price},5"
    for described, price in (
        ("BG-1,base gasket,KV82,0.4", "12.50"),
        ("BG-2,base gasket,KV82,0.5", "13.50"),
        ("HG-1,head gasket,KV82,0.8", "31.00"),
    )
)
THREE_OFFERS = {"BG-1": (1250, 5), "BG-2": (1350, 5), "HG-1": (3100, 5)}
PRICES_OF_THREE = (PRICES, *LINES)
USES = "part number,date,quantity"


def _list(
    *rows: str,
    shelf: dict[str, tuple[float, int]] | None = None,
    offered: dict[str, tuple[int, int]] | None = None,
    asked: tuple[str, ...] = (),
) -> OddList:
    return OddList("\n".join((*rows, "")), shelf or {}, offered=offered or {}, asked=asked)


def _fourth(row: str, *asked: str, **shelf: tuple[float, int]) -> OddList:
    return _list(SHELF, *ROWS, row, shelf={**THREE_ROWS, **shelf}, asked=asked)


def _fourth_line(line: str, *asked: str, **offered: tuple[int, int]) -> OddList:
    return _list(PRICES, *LINES, line, offered={**THREE_OFFERS, **offered}, asked=asked)


def _priced(headers: str, figures: str, asked: tuple[str, ...] = ()) -> OddList:
    """Return a price list of one line, its prices under these headers."""
    return _list(
        f"supplier,part number,kind,fits,thickness (mm),lead days,{headers}",
        f"Varnik,BG-1,base gasket,KV82,0.4,5,{figures}",
        offered={} if asked else {"BG-1": (1250, 5)},
        asked=asked,
    )


FIGURES: dict[str, OddList] = {
    "a price that lost its point": _fourth_line("Varnik,BG-3,base gasket,KV82,0.6,1450,5", "F5"),
    "a price that a point slipped in": _fourth_line("Varnik,BG-3,base gasket,KV82,0.6,0.14,5", "F5"),
    "pistons cost more than gaskets": _fourth_line("Varnik,PN1,piston,KV82,,740.00,5", PN1=(74000, 5)),
    "a cost that lost its point": _list(
        f"{SHELF},unit cost",
        *(f"{row},4.80" for row in ROWS),
        "BG-3,base gasket,KV82,0.6,2,520",
        shelf=THREE_ROWS,
        asked=("F5",),
    ),
    "one huge count": _fourth("BG-3,base gasket,KV82,0.6,40000", "E5"),
    "one count of many": _fourth("BG3,base gasket,KV82,0.6,240", BG3=(0.6, 240)),
    "a lead time of years": _fourth_line("Varnik,BG-3,base gasket,KV82,0.6,14.50,500", "G5"),
    "a use of years to come": _list(USES, "BG-1,2026-01-12,2", "BG-1,2162-02-12,1", asked=("B3",)),
    "a use of long ago": _list(USES, "BG-1,2026-01-12,2", "BG-1,1026-02-12,1", asked=("B3",)),
    "uses by the ten thousand": _list(
        USES, "BG-1,2026-01-12,2", "BG-1,2026-02-12,3", "BG-1,2026-03-12,40000", asked=("C4",)
    ),
    "superseded by itself": _list(
        f"{PRICES},superseded by",
        f"{LINES[0]},BG-1",
        f"{LINES[1]},",
        f"{LINES[2]},HG-2",
        offered={"BG-2": (1350, 5), "HG-1": (3100, 5)},
        asked=("H2",),
    ),
    "superseded by each other": _list(
        f"{PRICES},superseded by",
        f"{LINES[0]},BG-2",
        f"{LINES[1]},BG-1",
        f"{LINES[2]},",
        offered={"HG-1": (3100, 5)},
        asked=("H2", "H3"),
    ),
    # Several prices side by side.
    "prices for the trade beside those of the shop": _priced("RRP,trade price", "19.90,12.50"),
    "a list price beside the price paid": _priced("list price,your price", "19.90,12.50"),
    "a price below the price paid": _priced("price,RRP", "12.50,9.90", asked=("column H",)),
    "a price for the trade above the list price": _priced("list price,trade price", "12.00,12.50", asked=("",)),
    "a list price, a discount and another net price": _priced(
        "list price,discount,net price", "20.00,10 %,12.50", asked=("",)
    ),
    "from how many pieces, in a pack of several": _priced(
        "pack,price,From qty,Break price", "2,12.50,10,11.00", asked=("column I",)
    ),
}
BREAKS: dict[str, tuple[str, str, tuple[int, ...]]] = {
    "beside the first price": ("price,From qty,Price from", "12.50,10,11.00", (1, 1250, 10, 1100)),
    "quantity and price again and again": ("From qty,Price,From qty,Price", "1,12.50,10,11.00", (1, 1250, 10, 1100)),
    "numbered pairs": ("Qty 1,Price 1,Qty 2,Price 2", "1,12.50,10,11.00", (1, 1250, 10, 1100)),
    "in pieces, of packs": ("pack,price each,From pcs,Break price", "2,12.50,10,11.00", (1, 2500, 5, 2200)),
    "in German": ("Preis EUR,ab Menge,Staffelpreis", "12.50,10,11.00", (1, 1250, 10, 1100)),
    "in a header, in German": ("Preis EUR,ab 10 Stück", "12.50,11.00", (1, 1250, 10, 1100)),
}
