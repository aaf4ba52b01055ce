"""What `check` prints for people: first rows in their own unit, the least and the greatest of each measure."""

from __future__ import annotations

from pathlib import Path

from stackopt.books.facts.read import examine_books
from stackopt.books.told.page import summary

LIST = """part number,kind,fits,thickness (in),on hand,opening (in),unit cost
BG-1,base gasket,KV82,0.016,3,3.3,4.80
BG-2,base gasket,KV82,0.020,7,3.4,4.10
"""


def test_a_list_in_inches_is_shown_in_inches(tmp_path: Path) -> None:
    path = tmp_path / "list.csv"
    path.write_text(LIST)
    assert summary(examine_books([path])) == [
        "First rows: BG-1, base gasket, fits KV82, 0.016 in (0.4064 mm), 3 on hand",
        "First rows: BG-2, base gasket, fits KV82, 0.020 in (0.508 mm), 7 on hand",
        "Stock: 2 parts, 10 pieces on hand, worth 43.10",
        "Thickness: 0.016 in (0.4064 mm) of BG-1 to 0.020 in (0.508 mm) of BG-2",
        "Opening: 3.300 in (83.82 mm) of BG-1 to 3.400 in (86.36 mm) of BG-2",
        "On hand: 3 of BG-1 to 7 of BG-2",
        "Unit cost: 4.10 of BG-2 to 4.80 of BG-1",
    ]
