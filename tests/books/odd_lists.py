"""Lists as shops and suppliers keep them, each with what a careful person reads in it.

What is read is stated by hand beside each list: thickness and count of every part on the shelf, the price of a pack and
the lead time of every offer, the cells that must be asked about, and those that cannot be read at all. Where a whole
column, sheet or file is asked about nothing is used, so no fact is stated.
"""

from __future__ import annotations

from dataclasses import dataclass, field

SHELF = "part number,kind,fits,thickness (mm),on hand"
PRICES = "supplier,part number,kind,fits,thickness (mm),price,lead days"


@dataclass(frozen=True)
class OddList:
    """One list: `shelf` is (mm, on hand) by part, `offered` (cents, days) by part, `asked` and `refused` are places."""

    text: str
    shelf: dict[str, tuple[float, int]] = field(default_factory=dict)
    offered: dict[str, tuple[int, int]] = field(default_factory=dict)
    asked: tuple[str, ...] = ()
    refused: tuple[str, ...] = ()
    encoding: str = "utf-8"


def _shelf(header: str, *rows: str) -> str:
    return "\n".join((header, *rows, ""))


def _hand(count: str) -> str:
    return f"{SHELF}\nBG-1,base gasket,KV82,0.4,{count}\n"


def _thick(thickness: str) -> str:
    return f"{SHELF}\nBG-1,base gasket,KV82,{thickness},3\n"


def _price(price: str, lead: str = "5") -> str:
    return f"{PRICES}\nVarnik,BG-1,base gasket,KV82,0.4,{price},{lead}\n"


THREE = {"BG-1": (0.4, 3)}
FIVE_DAYS = {"BG-1": (1250, 5)}
LISTS: dict[str, OddList] = {
    "a plain shelf": OddList(_hand("3"), THREE),
    "pieces said": OddList(_hand("3 pcs"), THREE),
    "a count with decimals of nothing": OddList(_hand("3.0"), THREE),
    "a dozen": OddList(_hand("1 dozen"), {"BG-1": (0.4, 12)}),
    "half of four": OddList(_hand("4/2"), asked=("E2",)),
    "packs of nobody knows how many": OddList(_hand("3 packs"), asked=("E2",)),
    "a power of ten": OddList(_hand("1e1"), asked=("E2",)),
    "two or two thousand": OddList(_hand('"2,000"'), asked=("E2",)),
    "two and one": OddList(_hand("2+1"), asked=("E2",)),
    "about five": OddList(_hand("ca. 5"), asked=("E2",)),
    "perhaps five": OddList(_hand("5?"), asked=("E2",)),
    "to be counted": OddList(_hand("tba"), asked=("E2",)),
    "plenty": OddList(_hand("plenty"), asked=("E2",)),
    "fewer than nothing": OddList(_hand("-2"), refused=("E2",)),
    "two thicknesses": OddList(_thick("0.4-0.5"), asked=("D2",)),
    "a thickness with a remark": OddList(_thick("0.4 (free)"), asked=("D2",)),
    "a thickness with a star": OddList(_thick("0.4*"), asked=("D2",)),
    "a thickness with its own unit": OddList(_thick("0.020 in"), {"BG-1": (0.508, 3)}),
    "a thickness in thousandths": OddList(_thick("16 thou"), {"BG-1": (0.4064, 3)}),
    "a fraction of an inch": OddList(_thick("1/32 in"), {"BG-1": (0.79375, 3)}),
    "a thickness of an unknown unit": OddList(_thick("0.4 xy"), refused=("D2",)),
    "a price in pence": OddList(_price("95p"), asked=("F2",)),
    "a price by the dozen": OddList(_price("12.50 doz"), asked=("F2",)),
    "a price in thousands": OddList(_price("1.2k"), asked=("F2",)),
    "a count for a price": OddList(_price("12 pcs"), asked=("F2",)),
    "a price by weight": OddList(_price("12.50 kg"), asked=("F2",)),
    "a price of nothing": OddList(_price("0.00"), asked=("F2",)),
    "two for one": OddList(_price("2 for 9.00"), asked=("F2",)),
    "a price that is not told": OddList(_price("POA"), asked=("F2",)),
    "a price on request": OddList(_price("on request"), asked=("F2",)),
    "a price with a sign": OddList(_price("€ 12.50"), offered=FIVE_DAYS),
    "a price for each": OddList(_price("12.50 each"), offered=FIVE_DAYS),
    "a price with a dash for its cents": OddList(_price("12.-"), offered={"BG-1": (1200, 5)}),
    "a price with an apostrophe": OddList(_price("1'200.00"), offered={"BG-1": (120000, 5)}),
    "a comma that a delimiter was made of": OddList(_price("12,50"), asked=("row 2",)),
    "a price below nothing": OddList(_price("-12.50"), refused=("F2",)),
    "weeks": OddList(_price("12.50", "2 weeks"), offered={"BG-1": (1250, 14)}),
    "two or three weeks": OddList(_price("12.50", "2-3 weeks"), asked=("G2",)),
    "working days": OddList(_price("12.50", "10 working days"), asked=("G2",)),
    "from stock": OddList(_price("12.50", "ex stock"), asked=("G2",)),
    "a lead time that is not told": OddList(_price("12.50", "tbc"), asked=("G2",)),
    "two families": OddList(_shelf(SHELF, "BG-1,base gasket,KV82 & SV95,0.4,3"), THREE),
    "all families but one": OddList(_shelf(SHELF, "BG-1,base gasket,KV82 (not SV95),0.4,3"), asked=("C2",)),
    "lines numbered": OddList(
        _shelf(
            "Item,Article,kind,fits,thickness (mm),on hand", "1,BG-1,base gasket,KV82,0.4,3", "2,,base gasket,,0.4,1"
        ),
        THREE,
        refused=("B3",),
    ),
    "two part numbers": OddList(
        _shelf("Item,Article,kind,fits,thickness (mm),on hand", "BG-1,77,base gasket,KV82,0.4,3"), asked=("",)
    ),
    "two prices": OddList(
        _shelf(
            "supplier,part number,kind,fits,thickness (mm),price excl. VAT,price incl. VAT,lead days",
            "Varnik,BG-1,base gasket,KV82,0.4,12.50,15.00,5",
        ),
        asked=("",),
    ),
    "a price with tax": OddList(
        _shelf(PRICES.replace("price", "price incl. VAT"), "Varnik,BG-1,base gasket,KV82,0.4,12.50,5"),
        asked=("column F",),
    ),
    "a price without tax": OddList(
        _shelf(PRICES.replace("price", "price excl. VAT"), "Varnik,BG-1,base gasket,KV82,0.4,12.50,5"),
        offered=FIVE_DAYS,
    ),
    "a new price": OddList(
        _shelf(f"{PRICES},New price from 1 March", "Varnik,BG-1,base gasket,KV82,0.4,12.50,5,13.00"),
        asked=("column H",),
    ),
    "a discount cut short": OddList(
        _shelf(f"{PRICES},Disc.", "Varnik,BG-1,base gasket,KV82,0.4,12.50,5,10%"), asked=("column H",)
    ),
    "a discount of the supplier": OddList(
        _shelf(f"{PRICES},Supplier discount", "Varnik,BG-1,base gasket,KV82,0.4,12.50,5,10%"), asked=("column H",)
    ),
    "no supplier": OddList(
        _shelf("part number,kind,fits,thickness (mm),price,lead days", "BG-1,base gasket,KV82,0.4,12.50,5"),
        asked=("",),
    ),
    "a supplier above": OddList(
        _shelf(
            "Supplier: Dorfmoos",
            "part number,kind,fits,thickness (mm),price,lead days",
            "BG-1,base gasket,KV82,0.4,12.50,5",
        ),
        offered=FIVE_DAYS,
    ),
    "your number and ours": OddList(
        _shelf(
            "supplier,Our part no,Your part no,kind,fits,thickness (mm),price,lead days",
            "Varnik,V-7,BG-1,base gasket,KV82,0.4,12.50,5",
        ),
        offered=FIVE_DAYS,
    ),
    "no kind": OddList(_shelf("part number,fits,thickness (mm),on hand", "BG-1,KV82,0.4,3"), asked=("",)),
    "an unknown heading": OddList(
        _shelf(SHELF, "Base gaskets,,,,", "BG-1,,KV82,0.4,3", "O-rings,,,,", "OR-1,,KV82,1.4,3"),
        THREE,
        asked=("row 4",),
    ),
    "two bins": OddList(
        _shelf(f"{SHELF},bin", "BG-1,base gasket,KV82,0.4,1,A1", "BG-1,base gasket,KV82,0.4,2,B7"), THREE
    ),
    "entered twice": OddList(
        _shelf(f"{SHELF},bin", "BG-1,base gasket,KV82,0.4,3,A1", "BG-1,base gasket,KV82,0.4,3,A1"),
        asked=("rows 2 to 3",),
    ),
    "inches under millimetres": OddList(
        _shelf(SHELF, *(f"BG-{at},base gasket,KV82,{mm},3" for at, mm in enumerate(("0.010", "0.020", "0.040")))),
        asked=("column D",),
    ),
    "uncompressed": OddList(
        _shelf("All thicknesses uncompressed", SHELF, "BG-1,base gasket,KV82,0.5,3"), asked=("column D",)
    ),
    "a unit in a column": OddList(
        _shelf(
            "part number,kind,fits,thickness,unit,on hand",
            "BG-1,base gasket,KV82,0.020,in,3",
            "BG-2,base gasket,KV82,0.5,mm,4",
        ),
        {"BG-1": (0.508, 3), "BG-2": (0.5, 4)},
    ),
    "a second table in inches": OddList(
        _shelf(SHELF, "BG-1,base gasket,KV82,0.4,3", SHELF.replace("(mm)", "(in)"), "BG-2,base gasket,KV82,0.020,2"),
        {"BG-1": (0.4, 3), "BG-2": (0.508, 2)},
    ),
    "a second table with columns swapped": OddList(
        _shelf(
            f"{SHELF},min",
            "BG-1,base gasket,KV82,0.4,3,1",
            "part number,kind,fits,thickness (mm),min,on hand",
            "BG-2,base gasket,KV82,0.5,2,7",
        ),
        {"BG-1": (0.4, 3), "BG-2": (0.5, 7)},
    ),
    "two decimal marks": OddList(
        _shelf(SHELF, 'BG-1,base gasket,KV82,"0,5",3', "BG-2,base gasket,KV82,0.6,3"),
        asked=("column D",),
    ),
    "decimal commas": OddList(
        _shelf(SHELF.replace(",", ";"), "BG-1;base gasket;KV82;0,4;3", "BG-2;base gasket;KV82;0,65;4"),
        {"BG-1": (0.4, 3), "BG-2": (0.65, 4)},
    ),
    "digits lost": OddList(_shelf(SHELF, "1.23457E+11,base gasket,KV82,0.4,3"), refused=("A2",)),
    "a number kept as text": OddList(_shelf(SHELF, '="00123",base gasket,KV82,0.4,3'), {"00123": (0.4, 3)}),
    "capitals alone": OddList(
        _shelf(SHELF, "BG-1,base gasket,KV82,0.4,3", "bg-1,base gasket,KV82,0.4,2"), THREE, asked=("A3",)
    ),
    "scrapped": OddList(
        _shelf(f"{SHELF},status", "BG-1,base gasket,KV82,0.4,3,ok", "BG-2,base gasket,KV82,0.4,3,scrapped"),
        THREE,
        asked=("F3",),
    ),
    "letters of an old Macintosh": OddList(
        _shelf(f"{SHELF},Größe für Zylinderfuß", "BG-1,base gasket,KV82,0.4,3,Stück"), THREE, encoding="mac_roman"
    ),
    "letters of DOS": OddList(
        _shelf(f"{SHELF},Größe für Zylinderfuß", "BG-1,base gasket,KV82,0.4,3,Stück"), THREE, encoding="cp850"
    ),
    "letters that can be others": OddList(
        _shelf(f"{SHELF},Pièce", "BG-1,base gasket,KV82,0.4,3,A"), asked=("",), encoding="cp1252"
    ),
}
