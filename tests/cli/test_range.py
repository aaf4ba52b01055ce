"""``stackopt range`` from end to end, on small books."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from click.testing import CliRunner, Result

from stackopt.cli import main
from tests.full import whole_run

SHELF = """Part number,Kind,Fits,Thickness (mm),Opening (mm),On hand,Unit cost
B30,base gasket,A,0.30,,1,4.00
B50,base gasket,A,0.50,,5,4.00
H50,head gasket,A,0.50,84,4,20.00
H60,head gasket,A,0.60,84,0,21.00
"""
PRICES = "Supplier,Part number,Price,Pack,Lead days\nBergmann,B30,8.00,2,10\nBergmann,H60,20.00,1,10\n"
PAST = "Engine,Family,Cylinder,Bore (mm),Stroke (mm),Deck (mm),Deck side,Quench min (mm),Quench max (mm)\n" + "".join(
    f"A-{number},A,{name},82,76,{deck:.2f},below,0.80,0.98\n"
    for number, decks in enumerate([(0.0, 0.05), (0.08, 0.02), (0.1, 0.0)])
    for name, deck in zip(("front", "rear"), decks, strict=True)
)
SMALL = ("--engines", "2", "--scenarios", "5", "--seed", "3")


@pytest.fixture
def shop(tmp_path: Path) -> Path:
    for name, text in (("shelf.csv", SHELF), ("prices.csv", PRICES), ("past.csv", PAST)):
        (tmp_path / name).write_text(text)
    return tmp_path


def run(shop: Path, *options: str, books: tuple[str, ...] = ("shelf.csv", "prices.csv", "past.csv")) -> Result:
    named = [f"--book={shop / book}" for book in books]
    return CliRunner().invoke(main, ["range", *named, "--today", "2027-02-01", *options])


def test_books_alone_answer_for_the_money_that_lies_there_today(shop: Path) -> None:
    """1 and 5 pieces at 4.00, 4 at 20.00: 104.00."""
    result = run(shop, *SMALL, "--json")
    assert result.exit_code == 0, result.stderr
    answer = json.loads(result.stdout)
    assert answer["budget_cents"] == 10_400
    assert answer["ranges"]["today"]["tied_up_cents"] == 10_400
    assert answer["ranges"]["chosen"]["tied_up_cents"] <= 10_400
    assert answer["ranges"]["chosen"]["share_built"] >= answer["ranges"]["today"]["share_built"]
    assert answer["seed"] == 3
    assert {part["part"] for part in answer["parts"]} == {"B30", "B50", "H50", "H60"}


@whole_run
def test_the_same_call_gives_the_same_answer(shop: Path) -> None:
    assert run(shop, *SMALL, "--json").stdout == run(shop, *SMALL, "--json").stdout


def test_the_same_engines_in_another_order_give_the_same_answer(shop: Path) -> None:
    """Rows of the engines sheet turned round, and those of the shelf."""
    before = run(shop, *SMALL, "--json").stdout
    for name in ("past.csv", "shelf.csv"):
        header, *rows = (shop / name).read_text().splitlines()
        (shop / name).write_text("\n".join([header, *rows[::-1]]) + "\n")
    assert run(shop, *SMALL, "--json").stdout == before


def test_tables_say_what_to_keep_what_to_sell_and_how_sure_it_is(shop: Path) -> None:
    result = run(shop, *SMALL, "--budget", "60.00")
    assert result.exit_code == 0, result.stderr
    for words in ("The range to keep for 60.00, 1 Feb 2027", "To keep", "To sell off", "seed 3", "today's shelf"):
        assert words in result.stdout
    assert max(map(len, result.stdout.splitlines())) <= 80


def test_a_picture_is_drawn_and_not_over_another(shop: Path) -> None:
    drawn = shop / "range.png"
    first = run(shop, *SMALL, "--picture", str(drawn))
    assert first.exit_code == 0, first.stderr
    assert drawn.read_bytes().startswith(b"\x89PNG")
    again = run(shop, *SMALL, "--picture", str(drawn))
    assert again.exit_code == 2
    assert "Name another, or add --force." in again.stderr


@pytest.mark.parametrize(
    ("options", "books", "told"),
    [
        ((), ("shelf.csv", "prices.csv"), "found 'no past engines', expected at least 3 past engines of a family"),
        (("--budget", "lots"), ("shelf.csv", "past.csv"), "expected an amount of money, as 41.30"),
        (("--picture", "range.gif"), ("shelf.csv", "past.csv"), "expected a name that ends in .png, .svg, .pdf"),
        (("--outlook", "none.toml"), ("shelf.csv", "past.csv"), "expected an outlook file that can be opened"),
    ],
)
def test_a_wrong_call_says_what_was_expected(
    shop: Path, options: tuple[str, ...], books: tuple[str, ...], told: str
) -> None:
    result = run(shop, *options, books=books)
    assert result.exit_code == 2
    assert told in " ".join(result.stderr.split())
    assert result.stdout == ""


def test_a_family_that_no_part_fits_is_told(shop: Path) -> None:
    (shop / "past.csv").write_text(PAST.replace(",A,", ",Z,"))
    result = run(shop, *SMALL)
    assert result.exit_code == 2
    assert "found 'Z', expected a family that some gasket fits" in result.stderr


def test_an_empty_shelf_asks_for_a_budget(shop: Path) -> None:
    (shop / "shelf.csv").write_text(SHELF.replace(",1,4", ",0,4").replace(",5,4", ",0,4").replace(",4,20", ",0,20"))
    result = run(shop, *SMALL)
    assert result.exit_code == 2
    assert "--budget 1200.00" in result.stderr
