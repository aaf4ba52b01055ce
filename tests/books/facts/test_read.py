"""Books in, records and problems out."""

from __future__ import annotations

import datetime
from pathlib import Path

import pytest

from stackopt.books.facts.book_records import Books
from stackopt.books.facts.read import examine_books, read_books
from stackopt.engine.cautions import About, Units
from stackopt.engine.engine_records import STREET_QUENCH_MM, Window
from stackopt.parts.part_records import Kind, Offer, PriceTier, Supplier
from stackopt.problems import InputError
from tests.books.building import (
    ENGINE_HEADER,
    ENGINE_ROWS,
    OFFER_HEADER,
    STOCK_HEADER,
    STOCK_ROWS,
    delimited,
    xlsx,
)


def read_one(tmp_path: Path, *rows: tuple[object, ...], name: str = "Sheet") -> Books:
    return read_books([xlsx(tmp_path / "book.xlsx", {name: rows})])


def refusal(tmp_path: Path, *rows: tuple[object, ...]) -> str:
    with pytest.raises(InputError) as caught:
        read_one(tmp_path, *rows)
    return str(caught.value)


def test_a_stock_list_gives_parts_and_what_lies_there(tmp_path: Path) -> None:
    books = read_one(tmp_path, STOCK_HEADER, *STOCK_ROWS)
    head = books.parts["HG-60"]
    assert (head.kind, head.families, head.thickness_mm) == (Kind.HEAD_GASKET, {"KV", "RK"}, 0.60)
    assert head.opening_mm == 83.0
    assert books.stock["BG-40"].on_hand == 3
    assert books.stock["BG-40"].unit_cost_cents == 410
    assert books.problems == ()


def test_a_stock_list_says_what_is_under_way_and_by_when(tmp_path: Path) -> None:
    header = (*STOCK_HEADER, "On order", "Expected")
    due = datetime.date(2027, 2, 12)
    rows = [(*STOCK_ROWS[0], 4, due), (*STOCK_ROWS[1], "2 pcs", None)]
    stock = read_one(tmp_path, header, *rows).stock
    assert (stock["BG-40"].on_hand, stock["BG-40"].on_order, stock["BG-40"].expected) == (3, 4, due)
    assert (stock["HG-60"].on_hand, stock["HG-60"].on_order, stock["HG-60"].expected) == (1, 2, None)


def test_the_header_may_stand_below_other_rows_and_columns_in_any_order(tmp_path: Path) -> None:
    books = read_one(
        tmp_path,
        ("Shelf list", None, "counted in January"),
        (),
        (None, "QOH", "Thk (mm)", "P/N", "Remarks", "Type"),
        (None, 3, 0.4, "BG-40", "blue", "base gasket"),
    )
    assert books.stock["BG-40"].on_hand == 3
    assert books.parts["BG-40"].thickness_mm == 0.4
    assert any("column C 'Thk (mm)' read as thickness, in mm, because" in note for note in books.notes)
    assert any("column E 'Remarks' is not known here; kept aside" in note for note in books.notes)


@pytest.mark.parametrize(
    ("header", "cell", "millimetres"),
    [
        ("Thickness (in)", 0.020, 0.508),
        ("thickness in", "0.020", 0.508),
        ("Thickness", "1/32 in", 0.79375),
        ("Thickness", "20 thou", 0.508),
        ("Thickness mm", "0.020 in", 0.508),
        ("Thickness, mm", "0,508", 0.508),
        ("Thickness [µm]", 508, 0.508),
        ("Crushed thk (mil)", 20, 0.508),
        ("Crushed, mm", 0.508, 0.508),
        ("Compressed (in)", 0.02, 0.508),
    ],
)
def test_a_unit_may_stand_in_the_header_or_in_the_cell_which_goes_first(
    tmp_path: Path, header: str, cell: object, millimetres: float
) -> None:
    """Sums by 16 CFR 500.19: 1 in = 25.4 mm, 1 mil = 0.0254 mm; 20 · 0.0254 = 0.508; 25.4/32 = 0.79375."""
    books = read_one(tmp_path, ("Part number", "Kind", header, "On hand"), ("BG", "base gasket", cell, 1))
    assert books.problems == ()
    assert books.parts["BG"].thickness_mm == pytest.approx(millimetres, abs=1e-12)


def test_a_unit_may_stand_above_the_header(tmp_path: Path) -> None:
    books = read_one(
        tmp_path, (None, "Units", "inches"), ("Part number", "Kind", "Thickness", "On hand"), ("B", "shim", 0.01, 1)
    )
    assert books.parts["B"].thickness_mm == pytest.approx(0.254)


def test_a_length_without_a_unit_refuses_the_column_and_shows_how_to_say_it(tmp_path: Path) -> None:
    message = refusal(tmp_path, ("Part number", "Kind", "Thickness", "On hand"), ("B", "shim", 0.5, 1))
    assert "column C" in message
    assert "'Thickness (mm)'" in message


def test_two_columns_that_could_be_the_same_are_asked_about(tmp_path: Path) -> None:
    message = refusal(tmp_path, ("Part number", "Kind", "Thk (mm)", "T (mm)", "On hand"), ("B", "shim", 0.5, 0.6, 1))
    assert "column C Thk (mm) and column D T (mm)" in message
    assert "--answer 'Sheet!column of thickness=column C Thk (mm)'" in message


def test_a_kind_that_nobody_knows_is_asked_once_and_its_rows_wait(tmp_path: Path) -> None:
    rows = [(f"B-{at}", "gearbox", "KV", 0.4, None, 1, 1) for at in (1, 2)]
    books = read_one(tmp_path, STOCK_HEADER, STOCK_ROWS[0], *rows, STOCK_ROWS[1], name="Shelf")
    (question,) = books.questions
    assert (question.place.item, question.answers[0], len(books.parts)) == ("B3", "leave the row out", 2)


def test_a_missing_required_column_is_named(tmp_path: Path) -> None:
    message = refusal(tmp_path, ("Part number", "On hand", "Thickness (mm)"), ("B", 1, 0.5))
    assert "without a column 'kind'" in message


@pytest.mark.parametrize(
    ("row", "cell", "said"),
    [
        (("B", "base gasket", "KV", 0.4, None, -1, 1), "F3", "a whole number, 0 or more"),
        (("B", "base gasket", "KV", 0.4, None, 1.5, 1), "F3", "a whole number, 0 or more"),
        (("B", "base gasket", "KV", 0.4, None, None, 1), "F3", "how many pieces"),
        (("B", "base gasket", "KV", 400, None, 1, 1), "D3", "between 0.01 and 5 mm"),
        (("B", "base gasket", "KV", None, None, 1, 1), "D3", "the installed thickness"),
        (("B", None, "KV", 0.4, None, 1, 1), "B3", "the kind of part"),
        (("B", "base gasket", "KV", 0.4, None, 1, datetime.date(2027, 3, 12)), "G3", "an amount of money"),
        (
            (datetime.date(2027, 3, 12), "base gasket", "KV", 0.4, None, 1, 1),
            "A3",
            "turned the part number into a date",
        ),
        (("B", "base gasket", "KV", "#DIV/0!", None, 1, 1), "D3", "not an error of a formula"),
        (("B", "base gasket", "KV", "#N/A", None, 1, 1), "D3", "not an error of a formula"),
        ((None, "base gasket", "KV", 0.4, None, 1, 1), "A3", "a part number"),
    ],
)
def test_a_bad_row_is_refused_with_its_cell_and_the_good_rows_stand(
    tmp_path: Path, row: tuple[object, ...], cell: str, said: str
) -> None:
    books = read_one(tmp_path, STOCK_HEADER, STOCK_ROWS[0], row, STOCK_ROWS[1], name="Shelf")
    (problem,) = books.problems
    assert problem.place.item == cell
    assert problem.place.sheet == "Shelf"
    assert "book.xlsx" in problem.place.file
    assert said in str(problem)
    assert books.parts.keys() == {"BG-40", "HG-60"}


def test_blank_rows_repeated_headers_and_totals_are_no_parts(tmp_path: Path) -> None:
    books = read_one(
        tmp_path,
        STOCK_HEADER,
        STOCK_ROWS[0],
        (),
        STOCK_HEADER,
        STOCK_ROWS[1],
        (),
        ("Total", None, None, None, None, 4, 25.10),
    )
    assert books.problems == ()
    assert books.parts.keys() == {"BG-40", "HG-60"}


@pytest.mark.parametrize("label", ["Grand total 2026", "Subtotal 1", "Sum of 2 parts", "TOTAL 2026", " total 2"])
def test_a_total_whose_label_has_a_digit_is_no_part(tmp_path: Path, label: str) -> None:
    books = read_one(tmp_path, STOCK_HEADER, *STOCK_ROWS, (label, None, None, None, None, 4, 25.10))
    assert books.problems == ()
    assert books.parts.keys() == {"BG-40", "HG-60"}


def test_a_repeated_header_that_the_user_explained_is_no_part(tmp_path: Path) -> None:
    header = ("Code 2026", *STOCK_HEADER[1:])
    book = xlsx(tmp_path / "book.xlsx", {"Shelf": [header, STOCK_ROWS[0], header, STOCK_ROWS[1]]})
    books = examine_books([book], columns={("", 0): "part number"})
    assert (books.refused, books.problems) == ((), ())
    assert books.parts.keys() == {"BG-40", "HG-60"}


def test_a_csv_file_with_semicolons_and_decimal_commas(tmp_path: Path) -> None:
    rows = [("Part number", "Kind", "Thickness (mm)", "On hand", "Cost"), ("B", "shim", "0,30", "2", "1.250,50 €")]
    books = read_books([delimited(tmp_path / "s.csv", rows, ";", "utf-8-sig")])
    assert books.parts["B"].thickness_mm == pytest.approx(0.30)
    assert books.stock["B"].unit_cost_cents == 125050


def test_price_lists_with_packs_breaks_and_lead_times(tmp_path: Path) -> None:
    header = (*OFFER_HEADER, "Special order", "Packs from 2", "Price 2", "Minimum packs", "Supplier part number")
    offer = ("Quill", "BG-40", 12.5, 10, 7, "yes", 5, "9.90", 2, "Q 1")
    books = read_books(
        [xlsx(tmp_path / "b.xlsx", {"Shelf": [STOCK_HEADER, *STOCK_ROWS], "List": [header, offer]})],
    )
    assert books.supply.offers == (
        Offer(
            "Quill",
            "BG-40",
            (PriceTier(1, 1250), PriceTier(5, 990)),
            supplier_part="Q 1",
            pack=10,
            minimum_packs=2,
            lead_days=7,
            special_order=True,
            written_at=f"{tmp_path / 'b.xlsx'}, sheet 'List', row 2",
        ),
    )


def test_an_offer_of_a_part_that_nobody_describes_is_a_problem(tmp_path: Path) -> None:
    offers = [OFFER_HEADER, ("Quill", "bg-41", 1, 1, 1), ("Quill", "bg-40", 1, 1, 1)]
    books = read_books([xlsx(tmp_path / "b.xlsx", {"Shelf": [STOCK_HEADER, *STOCK_ROWS], "List": offers})])
    (problem,) = books.problems
    assert problem.found == "bg-41"
    assert [question.found for question in books.questions] == ["bg-40 and BG-40"]
    assert books.supply.offers == ()


def test_an_offer_describes_a_part_that_is_not_in_stock(tmp_path: Path) -> None:
    header = (*OFFER_HEADER, "Kind", "Fits", "Thickness (in)", "Covers")
    books = read_one(tmp_path, header, ("Quill", "HG-50", 1, 1, 1, "head gasket", "A;B", 0.02, 2))
    part = books.parts["HG-50"]
    assert (part.families, part.covers) == ({"A", "B"}, 2)
    assert part.thickness_mm == pytest.approx(0.508)
    assert len(books.supply.offers) == 1


def test_supply_for_a_family_holds_what_fits_it_and_the_kits_that_help(tmp_path: Path) -> None:
    offers = [
        (*OFFER_HEADER, "Kind", "Fits", "Thickness (mm)"),
        ("Quill", "RG", 1, 1, 1, "base gasket", "RK", 0.5),
        ("Quill", "KIT", 9, 1, 1, "kit", "KV", None),
        ("Quill", "BG-40", 9, 1, 1, None, None, None),
    ]
    kits = [("Kit", "Part number", "Quantity"), ("KIT", "BG-40", 2), ("KIT", "RG", 1)]
    sheets = {"Shelf": [STOCK_HEADER, *STOCK_ROWS], "List": offers, "Kits": kits}
    books = read_books([xlsx(tmp_path / "b.xlsx", sheets)])
    assert {offer.part for offer in books.supply_for({"RK"}).offers} == {"RG", "KIT", "BG-40"}
    assert {offer.part for offer in books.supply_for({"ZZ"}).offers} == set()
    assert books.supply.kits["KIT"].contents == {"BG-40": 2, "RG": 1}


def test_suppliers_terms(tmp_path: Path) -> None:
    books = read_one(
        tmp_path,
        ("Supplier", "Carriage", "Free freight over", "Minimum order"),
        ("Quill", "€ 9,00", "150,00", None),
        ("Dorf", None, None, 20),
    )
    assert books.supply.suppliers == {
        "Quill": Supplier("Quill", 900, 15000, 0),
        "Dorf": Supplier("Dorf", 0, None, 2000),
    }


def test_an_engines_sheet_gives_engines(tmp_path: Path) -> None:
    books = read_one(tmp_path, ENGINE_HEADER, *ENGINE_ROWS)
    (engine,) = books.engines
    front, rear = engine.cylinders
    assert (engine.name, engine.family, front.name, rear.name) == ("J-1", "KV", "front", "rear")
    assert (front.deck_height_mm, rear.deck_height_mm) == (-0.11, 0.02)
    assert front.quench == Window(0.76, 1.02, 0.89)
    assert front.compression == Window(9, 10, 9.5)


def test_no_quench_window_means_the_streets_and_a_caution(tmp_path: Path) -> None:
    books = read_one(tmp_path, ENGINE_HEADER[:8], ENGINE_ROWS[0][:8])
    (engine,) = books.engines
    assert engine.cylinders[0].quench == STREET_QUENCH_MM
    assert "street window" in engine.cautions[0].text


def test_a_window_beyond_common_practice_is_kept_and_told(tmp_path: Path) -> None:
    """Common practice, no source: above 0.040 in the band stops working. The second row's window is the usual one."""
    wide = list(ENGINE_ROWS[0])
    wide[ENGINE_HEADER.index("Quench max (mm)")] = 1.10
    (engine,) = read_one(tmp_path, ENGINE_HEADER, wide, ENGINE_ROWS[1]).engines
    assert engine.cylinders[0].quench == Window(0.76, 1.10)
    (caution,) = engine.cautions
    assert (caution.about, caution.cylinder) == (About.BEYOND_PRACTICE, "front")
    assert caution.words(Units.MM) == "above 1.016 mm the quench band stops working (common practice)."


@pytest.mark.parametrize(
    ("column", "value", "said"),
    [
        ("Deck side", None, "Say whether the piston's flat stands proud"),
        ("Deck (mm)", -0.11, "Leave the minus sign out"),
        ("Deck (mm)", 5 * 25.4, "a deck between"),
        ("Chamber (cc)", None, "the chamber volume"),
        ("Quench max (mm)", None, "both ends of the quench window"),
        ("Quench min (mm)", 1.5, "a lower end that does not lie above"),
        ("Family", "RK", "the same family"),
        ("Cylinder", "rear", "each cylinder of engine 'J-1' once"),
    ],
)
def test_what_an_engines_row_must_say(tmp_path: Path, column: str, value: object, said: str) -> None:
    front = list(ENGINE_ROWS[0])
    front[ENGINE_HEADER.index(column)] = value
    books = read_one(tmp_path, ENGINE_HEADER, front, ENGINE_ROWS[1])
    assert said in str(books.problems[0])
    assert books.engines == ()


def test_a_window_of_one_point_may_be_written_in_two_units(tmp_path: Path) -> None:
    """0.0299212598425197 in is 0.76 mm and a rounding more, as 1 in is 25.4 mm."""
    front = list(ENGINE_ROWS[0])
    for title, value in (("Quench min (mm)", "0.0299212598425197 in"), ("Quench max (mm)", 0.76)):
        front[ENGINE_HEADER.index(title)] = value
    (engine,) = read_one(tmp_path, ENGINE_HEADER, front, ENGINE_ROWS[1]).engines
    assert engine.cylinders[0].quench == Window(0.76, 0.76)


def test_usage_and_services(tmp_path: Path) -> None:
    sheets = {
        "Taken": [("Date", "Part number", "Quantity"), (datetime.date(2026, 1, 5), "BG", 2), ("2026-02-05", "BG", "1")],
        "Shop": [("Service", "Price", "Per"), ("head cut", 38, "cylinder")],
    }
    books = read_books([xlsx(tmp_path / "b.xlsx", sheets)])
    assert [(line.day.month, line.quantity) for line in books.usage] == [(1, 2), (2, 1)]
    assert [(work.service, work.price_cents, work.per) for work in books.services] == [("head cut", 3800, "cylinder")]


def test_two_books_that_disagree_on_a_part_are_both_shown_and_the_part_is_left_out(tmp_path: Path) -> None:
    other = [STOCK_HEADER, ("BG-40", "base gasket", "KV", 0.43, None, 3, 4.10)]
    books = read_books(
        [
            xlsx(tmp_path / "one.xlsx", {"A": [STOCK_HEADER, *STOCK_ROWS]}),
            xlsx(tmp_path / "two.xlsx", {"B": other}),
        ]
    )
    (problem,) = books.problems
    assert "two.xlsx, sheet 'B', A2: found 'BG-40: thickness 0.43 mm', expected thickness 0.4 mm, as " in str(problem)
    assert "one.xlsx, sheet 'A', A2 says" in str(problem)
    assert "--master" in str(problem)
    assert books.parts.keys() == {"HG-60"}


def test_two_currencies_cannot_be_added(tmp_path: Path) -> None:
    sheets = {
        "A": [("Supplier", "Freight (EUR)"), ("Quill", 9)],
        "B": [("Service", "Price"), ("head cut", "£38.00")],
    }
    with pytest.raises(InputError, match="found 'GBP', expected EUR"):
        read_books([xlsx(tmp_path / "b.xlsx", sheets)])


@pytest.mark.parametrize(
    ("name", "content", "said"),
    [
        ("no.xlsx", None, "no such file"),
        ("a.xlsx", b"%PDF-1.7 x", "a PDF document"),
        ("a.xlsx", b"PK\x03\x04 cut short", "a damaged or incomplete file"),
        ("a.xlsx", b"", "an empty file"),
        ("a.xls", b"<html><table>", "a web page"),
        ("a.csv", b"\x00\x01\x02", "bytes that are no text"),
        ("a.csv", b"just,some\nother,text\n", "no sheet with headers of a known role"),
    ],
)
def test_what_is_no_book_gets_one_clear_message(tmp_path: Path, name: str, content: bytes | None, said: str) -> None:
    path = tmp_path / name
    if content is not None:
        path.write_bytes(content)
    with pytest.raises(InputError) as caught:
        read_books([path])
    (problem,) = caught.value.problems
    assert said in str(problem)
    assert name in str(problem)


def test_lines_of_other_families_come_along_where_they_could_fill_an_order(tmp_path: Path) -> None:
    """Free freight saves 9.00: ZC at 12.00 saves nothing; ZA and ZB cost alike, and 6.00 is two of 3.00."""
    rows = ["Maker,RG,20.00", "Maker,ZB,3.00", "Maker,ZA,3.00", "Maker,ZD,6.00", "Maker,ZC,12.00", "Other,ZA,1.00"]
    stock = "part number,kind,fits,thickness (mm),on hand\n" + "".join(
        f"{part},base gasket,{family},0.3,0\n"
        for part, family in (("RG", "RK"), ("ZA", "ZZ"), ("ZB", "ZZ"), ("ZC", "ZZ"), ("ZD", "ZZ"))
    )
    for name, text in (
        ("stock", stock),
        ("offers", "\n".join(["supplier,part number,price", *rows])),
        ("suppliers", "supplier,freight,free freight over,minimum order\nMaker,9.00,50.00,\nOther,9.00,50.00,\n"),
    ):
        (tmp_path / f"{name}.csv").write_text(text, encoding="utf-8")
    books = read_books([tmp_path / f"{name}.csv" for name in ("stock", "offers", "suppliers")])
    assert {(offer.supplier, offer.part) for offer in books.supply_for({"RK"}).offers} == {
        ("Maker", "RG"),
        ("Maker", "ZA"),
    }
