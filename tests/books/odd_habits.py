"""Lists as tired people keep them, in several languages: those that must simply be read, and those that ask.

Stated as in `odd_lists`: what a careful person reads, written down by hand before the list was tried.
"""

from __future__ import annotations

from tests.books.odd_lists import FIVE_DAYS, PRICES, SHELF, THREE, OddList

BG1, BG2 = "BG-1,base gasket,KV82,0.4,3", "BG-2,base gasket,KV82,0.5,7"
TWO = {**THREE, "BG-2": (0.5, 7)}
OFFER = "Varnik,BG-1,base gasket,KV82,0.4,12.50,5"
UNKNOWN = "Številka;Vrsta;Stroj;Debelina;Kosov\nBG-1;base gasket;KV82;0,40;3\nBG-2;base gasket;KV82;0,50;7\n"


def _list(*rows: str, shelf: dict[str, tuple[float, int]] | None = None, asked: tuple[str, ...] = ()) -> OddList:
    return OddList("\n".join((*rows, "")), shelf or {}, asked=asked)


def _prices(*rows: str, asked: tuple[str, ...] = (), offered: dict[str, tuple[int, int]] | None = None) -> OddList:
    return OddList("\n".join((*rows, "")), offered=FIVE_DAYS if offered is None else offered, asked=asked)


def _card(number: str, thickness: str, count: str) -> tuple[str, ...]:
    return (f"Part number,{number}", "Kind,base gasket", "Fits,KV82", f"Thickness,{thickness}", f"On hand,{count}", "")


def _kind(kind: str) -> str:
    return f'{SHELF}\nBG-1,"{kind}",KV82,0.4,3\n'


def _fits(fits: str, *asked: str) -> OddList:
    return OddList(f'{SHELF}\nBG-1,base gasket,"{fits}",0.4,3\n', {} if asked else THREE, asked=asked)


def _shelf_with(header: str, first: str, second: str, *asked: str, shelf: dict[str, tuple[float, int]]) -> OddList:
    return _list(f"{SHELF},{header}", f"{BG1},{first}", f"{BG2},{second}", shelf=shelf, asked=asked)


HABITS: dict[str, OddList] = {
    # Plain lists: read without a question.
    "a German shelf": _list(
        "Artikel-Nr.;Art;Passend für;Stärke (mm);Bestand;Mindestbestand;Lagerplatz",
        "BG-1;Fußdichtung;KV82;0,40;3;2;A1",
        "HG-1;Kopfdichtung;KV82;0,80;2;1;A2",
        shelf={**THREE, "HG-1": (0.8, 2)},
    ),
    "a French shelf": _list(
        "Référence;Type;Moteur;Épaisseur (mm);Qté;Emplacement", "BG-1;joint d'embase;KV82;0,40;3;A1", shelf=THREE
    ),
    "an Italian shelf": _list(
        "Codice;Tipo;Motore;Spessore (mm);Giacenza", "BG-1;guarnizione base;KV82;0,4;3", shelf=THREE
    ),
    "a Spanish shelf": _list(
        "Referencia;Tipo;Motor;Espesor (mm);Existencias", "BG-1;junta base;KV82;0,4;3", shelf=THREE
    ),
    "a Dutch shelf": _list("Artikelnr;Soort;Motor;Dikte (mm);Voorraad", "BG-1;voetpakking;KV82;0,4;3", shelf=THREE),
    "a Polish shelf": _list(
        "Numer części;Rodzaj;Silnik;Grubość (mm);Stan", "BG-1;uszczelka pod cylinder;KV82;0,4;3", shelf=THREE
    ),
    "a Danish price list": _prices(
        "leverandør;varenummer;type;passer til;tykkelse (mm);pris (DKK);leveringstid (dage)",
        "Varnik;BG-1;fodpakning;KV82;0,4;12,50;5",
    ),
    "a German price list": _prices(
        "Lieferant;Artikelnummer;Art;Passt zu;Dicke mm;Preis EUR;Lieferzeit Tage",
        "Varnik;BG-1;Fußdichtung;KV82;0,4;12,50;5",
    ),
    "kinds in the descriptions": _list(
        "Stock No,Description,Fits,Thk mm,Qty",
        "BG-1,Base gasket 0.40 paper,KV82,0.40,3",
        "HG-1,Copper head gasket,KV82,0.8,1",
        shelf={**THREE, "HG-1": (0.8, 1)},
    ),
    "what is free, of an export": _list(
        "Item No.,Item Group,Fits,Thickness mm,In Stock,Committed,Ordered,Available",
        "BG-1,Base gasket,KV82,0.4,3,1,0,2",
        "BG-2,Base gasket,KV82,0.5,7,0,4,11",
        shelf=TWO,
    ),
    "what it is sold at": _shelf_with("cost,RRP", "4.80,7.50", "5.00,8.00", shelf=TWO),
    "what each costs": _shelf_with("each", "4.80", "5.00", shelf=TWO),
    "none and nil": _list(
        SHELF,
        "BG-1,base gasket,KV82,0.4,none",
        "BG-2,base gasket,KV82,0.5,nil",
        shelf={"BG-1": (0.4, 0), "BG-2": (0.5, 0)},
    ),
    "names beside codes": _list(
        "Item,Code,kind,fits,thickness (mm),on hand", f"Base gasket thin,{BG1}", f"Base gasket 0.5,{BG2}", shelf=TWO
    ),
    "numbers of records": _list(
        "ID,part number,kind,fits,thickness (mm),on hand", f"1001,{BG1}", f"1002,{BG2}", shelf=TWO
    ),
    "lines numbered under Pos.": _list(
        "Pos.,part number,kind,fits,thickness (mm),on hand",
        f"1,{BG1}",
        f"2,{BG2}",
        "3,BG-3,base gasket,KV82,0.6,2",
        shelf={**TWO, "BG-3": (0.6, 2)},
    ),
    "list price, discount and net price": _prices(
        "supplier,part number,kind,fits,thickness (mm),list price,discount %,net price,lead days",
        "Varnik,BG-1,base gasket,KV82,0.4,15.625,20,12.50,5",
    ),
    "a kind in another order": OddList(_kind("gasket, base"), THREE),
    "a kind with its material": OddList(_kind("base gasket (copper)"), THREE),
    "a price for two": _prices(PRICES, OFFER.replace("12.50", "25.00 per 2")),
    "a price list of this year": _prices(f"Varnik price list {2099}", PRICES, OFFER),
    "any family, in German": _fits("alle"),
    "two families, in German": _fits("KV82 u. SV95"),
    "an old sign for inches": OddList(f"{SHELF}\nBG-1,base gasket,KV82,0.016'',3\n", {"BG-1": (0.4064, 3)}),
    "cards of parts": _list(*_card("BG-1", "0.4 mm", "3"), *_card("BG-2", "0.5 mm", "7"), shelf=TWO),
    "the delimiter said above the headers": OddList(f"sep=;\n{SHELF}\n{BG1}\n".replace(",", ";"), THREE),
    "rows numbered from 0 by a program": _list(f",{SHELF}", f"0,{BG1}", f"1,{BG2}", shelf=TWO),
    "sizes in a language": _list(
        "Alle Maße in Zoll", SHELF.replace(" (mm)", ""), BG1.replace("0.4", "0.016"), shelf={"BG-1": (0.4064, 3)}
    ),
    "thousandths in the header": _list(
        SHELF.replace("(mm)", "(0.001 in)"), BG1.replace("0.4", "16"), shelf={"BG-1": (0.4064, 3)}
    ),
    "one supplier in two spellings": _prices(
        PRICES, OFFER, "VARNIK,BG-2,base gasket,KV82,0.5,13.50,5", offered={**FIVE_DAYS, "BG-2": (1350, 5)}
    ),
    "least and most, and what is used": _shelf_with("min qty,max qty,used per year", "1,6,4", "1,6,2", shelf=TWO),
    "everyday words for the count": _list(SHELF.replace("on hand", "stock level"), BG1, BG2, shelf=TWO),
    "pieces alone": _list(SHELF.replace("on hand", "pcs"), BG1, BG2, shelf=TWO),
    "a gauge": _list(SHELF.replace("thickness (mm)", "gauge (mm)"), BG1, BG2, shelf=TWO),
    "the thickness after torque": _list(
        SHELF.replace("thickness (mm)", "thickness after torque (mm)"), BG1, BG2, shelf=TWO
    ),
    "the price for the trade": _prices(PRICES.replace("price", "trade price"), OFFER),
    "days to dispatch": _prices(PRICES.replace("lead days", "dispatch time (days)"), OFFER),
    "printed, by whom and when": _list(
        "Printed: 30.11.2026 14:05, user: tom", SHELF, BG1, BG2, "", "2 items", shelf=TWO
    ),
    "marks for the same as above": _list(
        SHELF, BG1, 'BG-2,"""","""",0.5,7', "BG-3,ditto,do.,0.6,2", shelf={**TWO, "BG-3": (0.6, 2)}
    ),
    "an export with prices, free pieces and suppliers": _list(
        "Product Code,Product Description,Category,Qty In Stock,Qty Allocated,Free Stock,Qty On Order,"
        "Average Cost Price,Sales Price,Supplier A/C,Last Purchase Date,Fits,Thickness (mm)",
        "BG-1,Base gasket 0.40,Base gasket,3,1,2,0,4.80,7.50,VAR01,12/10/2026,KV82,0.40",
        "BG-2,Base gasket 0.50,Base gasket,7,0,7,4,5.00,8.00,VAR01,12/10/2026,KV82,0.50",
        shelf=TWO,
    ),
    "an export of a German program": _list(
        "Artikelnr.;Bezeichnung;Warengruppe;Lagerbestand;Reserviert;Verfügbar;Mindestbestand;EK netto;"
        "VK brutto;Motor;Dicke mm",
        "BG-1;Fußdichtung 0,40 mm;Dichtungen;3;1;2;2;4,80;9,50;KV82;0,40",
        "BG-2;Fußdichtung 0,50 mm;Dichtungen;7;0;7;2;5,00;9,90;KV82;0,50",
        shelf=TWO,
    ),
    "units in the headers of counts and costs": _list(
        "Part No,Type,Engine,Installed thk [mm],Stock [pcs],Reorder level,Cost [EUR]",
        "BG-1,Base gasket,KV82,0.4,3,2,4.80",
        shelf=THREE,
    ),
    "prices and kinds of an American supplier": _prices(
        "Vendor,Vendor Part #,Our Part #,Description,Fits,Thickness (in),Price Each,Pkg Qty,Lead Time (weeks)",
        "Varnik,V-7,BG-1,Base gasket,KV82,.016,$4.80,2,1",
        offered={"BG-1": (960, 7)},
    ),
    "a price without tax, in Spanish": _prices(PRICES.replace("price", "Precio sin IVA"), OFFER),
    "a price for a hundred, in German": _prices(
        PRICES.replace("price", "Preis je 100 Stück"), OFFER.replace("12.50", "1250.00")
    ),
    # Lists that ask: no fact is taken wrongly.
    "a card with an odd count": _list(
        *_card("BG-1", "0.4 mm", "3"), *_card("BG-2", "0.5 mm", "few"), shelf=THREE, asked=("B11",)
    ),
    "a card without a unit": _list(*_card("BG-1", "0.4", "3"), asked=("column A",)),
    "one thickness in inches": _list(SHELF, BG1, BG2, "BG-3,base gasket,KV82,0.020,2", shelf=TWO, asked=("D4",)),
    "a point that slipped": _list(SHELF, BG1, BG2, "BG-3,base gasket,KV82,4.5,2", shelf=TWO, asked=("D4",)),
    "a shim thinner than any gasket": _list(
        SHELF, BG1, BG2, "SH-1,base shim,KV82,0.05,2", shelf={**TWO, "SH-1": (0.05, 2)}
    ),
    "no thickness at all": _list("part number,kind,fits,on hand", "BG-1,base gasket,KV82,3", asked=("",)),
    "the thickness of new gaskets, and no material": _list(
        "part number,kind,fits,uncompressed thickness (mm),on hand", "BG-1,base gasket,KV82,0.5,3", asked=("",)
    ),
    "headers that nobody knows": OddList(UNKNOWN, asked=("",)),
    "a price list of long ago": _prices("Varnik price list 2019", PRICES, OFFER, asked=("",), offered={}),
    "prices of a month long ago": _prices("Prices as of March 2019", PRICES, OFFER, asked=("",), offered={}),
    "per ten under a hundred": _prices(
        PRICES.replace("price", "Price/100"), OFFER.replace("12.50", "450 per 10"), asked=("F2",), offered={}
    ),
    "whose pieces they are": _shelf_with("owner", "shop", "customer", "column F", shelf={}),
    "whether they are good": _shelf_with("ok?", "yes", "no", "column F", shelf={}),
    "a supplier named once for several rows": _prices(
        PRICES, OFFER, ",BG-2,base gasket,KV82,0.5,13.50,5", asked=("column A",), offered={}
    ),
    "another kind in the description": _list(
        f"{SHELF},description", f"{BG1},Head gasket", f"{BG2},Base gasket", shelf={"BG-2": (0.5, 7)}, asked=("F2",)
    ),
    "another thickness in the description": _list(
        f"{SHELF},description",
        f"{BG1},Base gasket 0.8 mm",
        f"{BG2},Base gasket 0.5 mm",
        shelf={"BG-2": (0.5, 7)},
        asked=("F2",),
    ),
    "a pair in the description": _prices(
        f"{PRICES},description", f"{OFFER},Base gaskets (pair)", asked=("H2",), offered={}
    ),
    "breaks that cost more": _prices(
        PRICES.replace("price", "1+,10+"), OFFER.replace("12.50", "4.80,48.00"), asked=("column G",), offered={}
    ),
    "not yet crushed, in German": _list("Alle Dicken unverpresst", SHELF, BG1, asked=("column D",)),
    "damaged, in German": _shelf_with("Bemerkung", "", "beschädigt", "F3", shelf=THREE),
    "damaged, in French": _shelf_with("Remarque", "", "abîmé", "F3", shelf=THREE),
    "blocked, in German": _shelf_with("Status", "frei", "gesperrt", "F3", shelf=THREE),
    "a price with tax, in Spanish": _prices(
        PRICES.replace("price", "Precio con IVA"), OFFER, asked=("column F",), offered={}
    ),
    "a price with tax, in French": _prices(PRICES.replace("price", "Prix TTC"), OFFER, asked=("column F",), offered={}),
    "a price list without a price": _prices(PRICES.replace("price", "Wert"), OFFER, asked=("",), offered={}),
    "counts that nobody checked": _list("Stock take, not yet checked", SHELF, BG1, asked=("column E",)),
    "a kind that nobody knows": OddList(_kind("O-ring"), asked=("B2",)),
    "a set of gaskets of one kind": OddList(_kind("base gasket set"), asked=("B2",)),
    "a family and its cylinder": _fits("KV82 (front)", "C2"),
    "a family from some year": _fits("KV82 late", "C2"),
    "families with a star": _fits("KV*", "C2"),
    "from one family to another": _fits("KV82-SV95", "C2"),
    "no part number yet": _list(SHELF, "TBD,base gasket,KV82,0.4,3", BG2, shelf={"BG-2": (0.5, 7)}, asked=("A2",)),
    "a part number and the one of before": _list(
        SHELF, "BG-1 (old BG-0),base gasket,KV82,0.4,3", BG2, shelf={"BG-2": (0.5, 7)}, asked=("A2",)
    ),
    "a remark that corrects": _shelf_with("note", "", "actually 0.45", "F3", shelf=THREE),
    "families as headings": _list(
        "part number,kind,thickness (mm),on hand",
        "KV82,,,",
        "BG-1,base gasket,0.4,3",
        "SV95,,,",
        "BG-2,base gasket,0.5,7",
        asked=("row 2", "row 4"),
    ),
}

# Lists that ask, the answers to all that they ask, and what is then read of BG-1: thickness, count, price, unit cost.
ANSWERED: dict[str, tuple[str, tuple[str, ...], dict[str, object]]] = {
    "headers that nobody knows": (
        UNKNOWN,
        (
            "role=a stock list",
            "column of part number=column A Številka",
            "column of kind=column B Vrsta",
            "column of fits=column C Stroj",
            "column of thickness=column D Debelina",
            "unit of Debelina=mm",
            "column of on hand=column E Kosov",
        ),
        {"thickness_mm": 0.4, "on_hand": 3},
    ),
    "a thickness under another header": (
        f"{SHELF.replace('thickness (mm)', 'size')}\n{BG1}\n",
        ("column of thickness=column D size", "unit of size=mm"),
        {"thickness_mm": 0.4},
    ),
    "a column of amounts": (f"{SHELF},Price\n{BG1},4.80\n", ("column Price=unit cost",), {"unit_cost_cents": 480}),
    "a column kept aside": (f"{SHELF},Price\n{BG1},4.80\n", ("column Price=keep aside",), {"unit_cost_cents": 0}),
    "a kind that nobody knows": (_kind("foot seal"), ("kind foot seal=base gasket",), {"kind": "base gasket"}),
    "one thickness in inches": (
        f"{SHELF}\n{BG2}\nBG-1,base gasket,KV82,0.020,3\n",
        ("thickness 0.020=0.020 in",),
        {"thickness_mm": 0.508},
    ),
    "one thickness that is right": (
        f"{SHELF}\n{BG2}\nBG-1,base gasket,KV82,0.020,3\n",
        ("thickness 0.020=0.020 mm",),
        {"thickness_mm": 0.02},
    ),
    "the material of new gaskets": (
        "part number,kind,fits,free thickness (mm),on hand\nBG-1,base gasket,KV82,0.4,3\n",
        ("column of material=solid copper",),
        {"on_hand": 3},
    ),
    "a price list of long ago": (
        f"Varnik price list 2019\n{PRICES}\n{OFFER}\n",
        ("note Varnik price list 2019=it changes nothing",),
        {"price_cents": 1250},
    ),
    "per ten under a hundred": (
        f"{PRICES.replace('price', 'Price/100')}\n{OFFER.replace('12.50', '450 per 10')}\n",
        ("price 450 per 10 per 100 pieces=450 per 10 pieces",),
        {"price_cents": 4500},
    ),
    "a price list without a price": (
        f"{PRICES.replace('price', 'Wert')}\n{OFFER}\n",
        ("column of price=column F Wert",),
        {"price_cents": 1250},
    ),
    "families as headings": (
        "part number,kind,thickness (mm),on hand\nKV82,,,\nBG-1,base gasket,0.4,3\n",
        ("heading KV82=fits KV82",),
        {"families": frozenset({"KV82"})},
    ),
}
