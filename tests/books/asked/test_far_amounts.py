"""What is far out among amounts that span wide, or that another row of the same part confirms."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.books.asked.test_unread import PRICES, read


def keys(folder: Path, *rows: tuple[str, str, str]) -> list[str]:
    lines = [f"{supplier},{part},head gasket,KV82,0.5,{price},5" for supplier, part, price in rows]
    return [question.key for question in read(folder, PRICES, *lines).questions]


@pytest.mark.parametrize(
    ("last", "asked"),
    [
        (("Varnik", "H9", "1250"), ["price 1250"]),
        (("Varnik", "H9", "12.60"), []),
    ],
)
def test_a_price_a_hundred_times_the_others_is_asked_about(
    tmp_path: Path, last: tuple[str, str, str], asked: list[str]
) -> None:
    assert keys(tmp_path, *(("Varnik", f"H{n}", f"{11 + n}.50") for n in range(5)), last) == asked


def test_a_dear_part_that_two_suppliers_ask_alike_for_is_no_slip(tmp_path: Path) -> None:
    dear = (("Varnik", "H9", "1250"), ("Quillhaven", "H9", "1190"))
    others = [("Varnik", f"H{n}", f"{11 + n % 7}.50") for n in range(50)]
    assert keys(tmp_path, *others, *dear) == []
    assert keys(tmp_path, *others, dear[0], ("Quillhaven", "H9", "12.40")) == ["price 1250"]
    assert "price 1250" in keys(tmp_path, *others, dear[0], ("Varnik", "H9", "1190"))


def test_where_prices_span_wide_none_is_far_out(tmp_path: Path) -> None:
    assert keys(tmp_path, *(("Varnik", f"H{n}", str(3**n)) for n in range(4, 12)), ("Varnik", "H9", "1.00")) == []
