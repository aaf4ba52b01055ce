"""Who orders is said once, beside the books or the ledger, and stands on every order."""

from __future__ import annotations

from pathlib import Path

import pytest

from stackopt.books.engine_text.shop_tolerance import read_shop_tolerance
from stackopt.books.out.letterhead import OurShop
from stackopt.cli.sources.our_shop import our_shop_beside, our_shop_of_ledger
from stackopt.problems import InputError
from stackopt.web.gate.settings import ShopSettings, settings_file, write_settings

TOLD = """\
[shop]
name = "Alder Lane Engines"
currency = "EUR"
customer_numbers = { Quillhaven = "K-1182" }
"""


def test_what_is_said_beside_the_books_counts_and_nothing_said_is_nothing_known(tmp_path: Path) -> None:
    assert our_shop_beside([str(tmp_path / "shop.xlsx")]) == OurShop()
    (tmp_path / "shop.toml").write_text(TOLD)
    said = our_shop_beside([str(tmp_path / "shop.xlsx")])
    assert said == OurShop("Alder Lane Engines", "", {"Quillhaven": "K-1182"}, "EUR")


def test_what_the_page_says_counts_where_the_file_is_silent(tmp_path: Path) -> None:
    ledger = str(tmp_path / "shop.db")
    typed = ShopSettings("Alder Lane", "4 Alder Lane", {"Varnik": "77", "Quillhaven": "old"})
    write_settings(settings_file(ledger), typed)
    (tmp_path / "shop.toml").write_text(TOLD)
    numbers = {"Varnik": "77", "Quillhaven": "K-1182"}
    assert our_shop_of_ledger(ledger) == OurShop("Alder Lane Engines", "4 Alder Lane", numbers, "EUR")


@pytest.mark.parametrize(
    "text",
    [
        '[shop]\nnmae = "A"\n',
        "[shop]\nname = 3\n",
        "shop = 3\n",
        "[shop\n",
        '[shop]\nname = {a = "b"}\n',
        'name = "A"\n',
    ],
)
def test_what_cannot_be_understood_is_refused_with_what_is_expected(tmp_path: Path, text: str) -> None:
    (tmp_path / "shop.toml").write_text(text)
    with pytest.raises(InputError, match=r"under \[shop\] name"):
        our_shop_beside([str(tmp_path / "shop.xlsx")])


def test_one_file_says_who_orders_and_how_sure_gaskets_are(tmp_path: Path) -> None:
    file = tmp_path / "shop.toml"
    file.write_text(TOLD)
    assert read_shop_tolerance(file) == 0.0
    name = our_shop_beside([str(tmp_path / "book.xlsx")]).name
    file.write_text(f'{TOLD}\n[gasket]\ntolerance = "0.025 mm"\n')
    assert read_shop_tolerance(file) == 0.025
    assert our_shop_beside([str(tmp_path / "book.xlsx")]).name == name
