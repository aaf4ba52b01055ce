"""Lists whose layout says something: notes, titles, headings, totals, several tables; each with what a person reads.

Stated as in `odd_lists`: what a careful person reads, written down by hand before the list was tried.
"""

from __future__ import annotations

from tests.books.odd_lists import FIVE_DAYS, PRICES, SHELF, THREE, OddList

BG1, BG2 = "BG-1,base gasket,KV82,0.4,3", "BG-2,base gasket,KV82,0.5,7"
OFFER = "Varnik,BG-1,base gasket,KV82,0.4,12.50,5"
TWO = {**THREE, "BG-2": (0.5, 7)}
NO_KIND = "part number,fits,thickness (mm),on hand"
NO_FAMILY = "part number,kind,thickness (mm),on hand"
NO_SUPPLIER = PRICES.removeprefix("supplier,")
OFFER_ALONE = OFFER.removeprefix("Varnik,")


def _list(*rows: str, shelf: dict[str, tuple[float, int]] | None = None, asked: tuple[str, ...] = ()) -> OddList:
    return OddList("\n".join((*rows, "")), shelf or {}, asked=asked)


def _foot(note: str, *asked: str) -> OddList:
    text = "\n".join((PRICES, OFFER, "", f'"{note}"', ""))
    return OddList(text, offered={} if asked else FIVE_DAYS, asked=asked)


def _above(*rows: str, offered: dict[str, tuple[int, int]], asked: tuple[str, ...] = ()) -> OddList:
    return OddList("\n".join((*rows, NO_SUPPLIER, OFFER_ALONE, "")), offered=offered, asked=asked)


def _section(title: str) -> OddList:
    return _list(SHELF, BG1, title, BG2, shelf=THREE, asked=("row 3",))


LAYOUTS: dict[str, OddList] = {
    # Notes at the foot of a price list: those that may change a fact are asked about where it stands.
    "prices per 10": _foot("prices per 10", "column F"),
    "prices per pack of 5": _foot("Prices are per pack of 5", "column F"),
    "sold in packs": _foot("Sold in packs of 2", "column F"),
    "prices and a surcharge": _foot("prices ex works + 8 %", "column F"),
    "prices less a discount": _foot("Prices less 20 % trade discount", "column F"),
    "prices with tax in a note": _foot("All prices incl. VAT", "column F"),
    "prices without tax in a note": _foot("All prices in EUR, excl. VAT"),
    "prices in pence": _foot("Prices in pence", "column F"),
    "a lead time in a note": _foot("Allow 3 weeks for delivery", "column G"),
    "a day of payment in a note": _foot("Payment 14 days net"),
    "a minimum order in a note": _foot("Minimum order 50 EUR", "column F"),
    "freight in a note": _foot("Freight 9.00 per order", "column F"),
    "prices that held": _foot("valid until 31.12.2020", ""),
    "prices that hold": _foot("valid until 31.12.2099"),
    "lengths in inches in a note": _foot("All dims in inches", "column E"),
    "thickness as new in a note": _foot("thickness before torque", "column E"),
    "thanks": _foot("thank you for your business"),
    "no promise": _foot("subject to change without notice"),
    "an address": OddList(
        "\n".join((PRICES, OFFER, "", "Varnik, Mill Lane 4, tel. 0123 456789", "")), offered=FIVE_DAYS
    ),
    # Labels above.
    "lead time above": OddList(
        "\n".join(
            ("Supplier: Varnik", "Lead time: 3 weeks", NO_SUPPLIER.replace(",lead days", ""), OFFER_ALONE[:-2], "")
        ),
        offered={"BG-1": (1250, 21)},
    ),
    "freight above": _above("Supplier: Varnik", "Freight: 9.00", offered=FIVE_DAYS),
    "a minimum above": _above("Supplier: Varnik", "Minimum order: 50", offered={}, asked=("column E",)),
    "a discount above": _above("Supplier: Varnik", "Your discount: 20 %", offered={}, asked=("",)),
    "a bare name above": _above("Varnik Gaskets Ltd", offered={}, asked=("",)),
    "a place above": _list("Location: Annex", "", SHELF, BG1, BG2, shelf=TWO),
    "a state above": _list("Status: scrapped", "", SHELF, BG1, asked=("row 4",)),
    "scrapped in the title": _list("Scrapped parts 2026", SHELF, BG1, BG2, asked=("",)),
    "counted in packs": _list("On hand counted in packs of 2", SHELF, BG1, BG2, asked=("column E",)),
    "a title and a day": _list("Gasket stock", "As of 2026-02-12", "", SHELF, BG1, BG2, "", "Counted by M.", shelf=TWO),
    # Titles that fill what the table lacks.
    "kinds in titles": _list(
        "Base gaskets",
        NO_KIND,
        "BG-1,KV82,0.4,3",
        "",
        "Head gaskets",
        NO_KIND,
        "HG-1,KV82,0.8,2",
        shelf={**THREE, "HG-1": (0.8, 2)},
    ),
    "kinds in titles of unlike tables": _list(
        "Base gaskets",
        NO_KIND,
        "BG-1,KV82,0.4,3",
        "",
        "Head gaskets",
        NO_KIND.replace("mm", "in"),
        "HG-1,KV82,0.032,2",
        shelf={**THREE, "HG-1": (0.8128, 2)},
    ),
    "kinds in numbered headings": _list(
        SHELF,
        "1. Base gaskets,,,,",
        "BG-1,,KV82,0.4,3",
        "2. Head gaskets:,,,,",
        "HG-1,,KV82,0.8,2",
        shelf={**THREE, "HG-1": (0.8, 2)},
    ),
    "a family nobody knows behind a kind": _list(SHELF, "Base gaskets KV82,,,,", "BG-1,,,0.4,3", asked=("row 2",)),
    "a thickness in a heading": _list(SHELF, "0.4 mm,,,,", "BG-1,base gasket,KV82,,3", asked=("row 2",)),
    # Headings that nobody knows.
    "on loan": _section("On loan"),
    "returned": _section("Returned to supplier"),
    "reserved": _section("Reserved for J-104"),
    "old stock": _section("Old stock"),
    "another shelf": _section("Shelf B"),
    "a heading in every cell": _section(",".join(["SCRAPPED"] * 5)),
    "a heading with lines": _section("--- SCRAPPED ---"),
    "a heading above a second header": _list(
        SHELF,
        BG1,
        "",
        "Scrapped",
        SHELF.replace("mm", "in"),
        "BG-2,base gasket,KV82,0.020,2",
        shelf=THREE,
        asked=("row 4",),
    ),
    # Totals.
    "a total in another language": _list(SHELF, BG1, BG2, "Summe,,,,10", shelf=TWO),
    "a total without a word": _list(SHELF, BG1, BG2, ",,,,10", shelf=TWO),
    "a count of parts beside a total": _list(SHELF, BG1, BG2, "2 parts,,,,10", shelf=TWO),
    "totals by family": _list(SHELF, BG1, "KV82 total,,,,3", BG2, "total,,,,10", shelf=TWO),
    "carried forward": _list(
        SHELF, BG1, "Carried forward,,,,3", SHELF, "Brought forward,,,,3", BG2, "Total,,,,10", shelf=TWO
    ),
    "printed pages": _list(
        '"Stock list, page 1"', SHELF, BG1, "Page 1 of 2,,,,", '"Stock list, page 2",,,,', SHELF, BG2, shelf=TWO
    ),
    # Two rows of headers, tables side by side, two roles in one table.
    "two rows of headers": _list("part,kind,fits,thickness,on", "number,,,(mm),hand", BG1, BG2, shelf=TWO),
    "groups above the headers": _list(
        "Part,,,Thickness,Stock,", "number,kind,fits,(mm),on hand,min", f"{BG1},1", f"{BG2},2", shelf=TWO
    ),
    "two tables side by side": _list(
        f"{SHELF},,{SHELF}", f"{BG1},,{BG2}", ",,,,,,HG-1,head gasket,KV82,0.8,2", shelf={**TWO, "HG-1": (0.8, 2)}
    ),
    "one table in two halves": _list(f"{SHELF},{SHELF}", f"{BG1},{BG2}", shelf=TWO),
    "a shelf beside prices": OddList(f"{SHELF},,{PRICES}\n{BG1},,{OFFER}\n", shelf=THREE, offered=FIVE_DAYS),
    "stock and prices in one": _list(f"{SHELF},supplier,price", f"{BG1},Varnik,12.50", asked=("",)),
    # Counts that no header names, or that one cell gives for several rows.
    "counts by place": _list(SHELF.replace("on hand", "Bin A,Bin B"), "BG-1,base gasket,KV82,0.4,3,2", asked=("",)),
    "counts by place beside their sum": _list(
        SHELF.replace("on hand", "Bin A,Bin B,on hand"), "BG-1,base gasket,KV82,0.4,2,1,3", shelf=THREE
    ),
    "counted beside on hand": _list(f"{SHELF},counted", f"{BG1},2", asked=("column F",)),
    "packs in the row of units": _list(
        "part number,kind,fits,thickness,on hand", ",,,mm,packs", BG1, asked=("column E",)
    ),
    "pieces in the row of units": _list("part number,kind,fits,thickness,on hand", ",,,mm,pcs", BG1, shelf=THREE),
    # Rows above the header, headings that contradict rows, names that stand once for a group.
    "a row above the header": _list(BG1.replace("1", "9", 1), SHELF, BG1, shelf=THREE, asked=("row 1",)),
    "a heading against its rows": _list(SHELF, BG1, "Head gaskets,,,,", BG2, shelf=THREE, asked=("row 4",)),
    "another supplier's heading": OddList(
        f"{PRICES}\nQuillhaven,,,,,,\n{OFFER}\nQuillhaven,BG-2,base gasket,KV82,0.5,11.00,5\n",
        offered={"BG-2": (1100, 5)},
        asked=("row 3",),
    ),
    "a family said once": _list(
        SHELF, BG1, "BG-2,base gasket,,0.5,7", "BG-3,base gasket,SV95,0.6,2", asked=("column C",)
    ),
    "lines between rows": _list(SHELF, "---,---,---,---,---", BG1, "===,===,===,===,===", BG2, shelf=TWO),
    "a remark on the price": OddList(f"{PRICES},note\n{OFFER},price for 10\n", asked=("H2",)),
    "a price break in a row of its own": OddList(f"{PRICES}\n{OFFER}\n,,,,,11.00 from 10,\n", asked=("column F",)),
    "on hand in two places": _list(f"{SHELF},on hand", f"{BG1},2", asked=("",)),
    "a delivery in words": OddList(f"{PRICES}\n{OFFER}\n\nDelivery within two weeks\n", asked=("column G",)),
    "hundredths of a millimetre": _list(
        "Thickness in 1/100 mm", "part number,kind,fits,thickness,on hand", "BG-1,base gasket,KV82,40,3", shelf=THREE
    ),
    "thousandths of an inch in a title": _list(
        "Thickness in thousandths of an inch",
        "part number,kind,fits,thickness,on hand",
        "BG-1,base gasket,KV82,16,3",
        shelf={"BG-1": (0.4064, 3)},
    ),
    # A table on its side, what stands above against the rows, lists of what is not there.
    "a table on its side": OddList(
        "part number,BG-1,BG-2\nkind,base gasket,base gasket\nfits,KV82,KV82\nthickness (mm),0.4,0.5\non hand,3,7\n",
        TWO,
    ),
    "a family above against the rows": _list("Family SV95", SHELF, BG1, asked=("row 3",)),
    "a pack above against the column": OddList(f"Pack: 10\n{PRICES},pack\n{OFFER},2\n", asked=("column H",)),
    "gaskets to order": _list("Gaskets to order", SHELF, BG1, asked=("",)),
    "a currency between rows": OddList(f"{PRICES}\nUSD,,,,,,\n{OFFER}\n", asked=("row 2",)),
}
