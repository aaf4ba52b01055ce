"""Units of headers that no table of ours holds: pint knows them, or they are asked about; never guessed."""

from __future__ import annotations

from pathlib import Path

import pytest

from stackopt.books.facts.read import read_books
from stackopt.books.told.document import books_document
from stackopt.problems import InputError

LIST = "part number;kind;fits;{header};on hand\nBG-1;base gasket;A;{cell};3\nBG-2;base gasket;A;{cell};2\n"


def stock_list(folder: Path, header: str, cell: str) -> Path:
    path = folder / "stock.csv"
    path.write_text(LIST.format(header=header, cell=cell), encoding="utf-8")
    return path


@pytest.mark.parametrize(
    ("header", "cell", "thickness_mm"),
    [
        # Factors: NIST SP 811 (2008), appendix B.8; the SI prefixes, SI Brochure (2019), table 7.
        ("Thickness (cm)", "0.05", 0.5),
        ("Thickness [mil]", "20", 0.508),
        ("thk, thou", "20", 0.508),
        ("Thickness (µm)", "500", 0.5),
        ("Thickness (dm)", "0.005", 0.5),
        ("thk, dm", "0.005", 0.5),
        ("Installed thickness [nm]", "500000", 0.5),
        ("thickness / micrometer", "500", 0.5),
        ("Thickness (ft)", "0.0016", 0.48768),
        ("Thickness (yd)", "0.0005", 0.4572),
        ("Thickness (1/10 mm)", "5", 0.5),
        ("Thickness, hundredths of an inch", "2", 0.508),
        ("Thickness (dm)", "0.02 in", 0.508),
    ],
)
def test_a_header_says_its_unit_in_any_unit_of_length(
    header: str, cell: str, thickness_mm: float, tmp_path: Path
) -> None:
    books = read_books([stock_list(tmp_path, header, cell)])
    assert not books.problems
    assert books_document(books)["sheets"][0]["columns"][3]["unit"] != "HUF"
    assert [part.thickness_mm for part in books.supply.parts.values()] == pytest.approx([thickness_mm] * 2)


@pytest.mark.parametrize(
    ("header", "cell", "said"),
    [
        ("Thickness (hundredths)", "50", "1/100 mm makes 0.5 mm; 1/100 in makes 12.7 mm"),
        ("Thickness (tenths)", "5", "1/10 mm makes 0.5 mm; 1/10000 in makes 0.0127 mm"),
        ("Thickness (kg)", "0.5", "headers in row 1 without a column 'thickness'"),
        ("Thickness (cc)", "0.5", "headers in row 1 without a column 'thickness'"),
        ("Thickness (nominal)", "0.5", "headers in row 1 without a column 'thickness'"),
        ("Thickness (compressed)", "0.5", "a unit for the thickness: mm makes 0.5 mm; in makes 12.7 mm"),
    ],
)
def test_what_is_no_unit_of_length_is_asked_about(header: str, cell: str, said: str, tmp_path: Path) -> None:
    with pytest.raises(InputError) as refused:
        read_books([stock_list(tmp_path, header, cell)])
    assert said in str(refused.value)
