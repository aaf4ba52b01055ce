"""Days in the shop, told with commands; each says first how a shop would expect the day to end."""

from __future__ import annotations

import json
import shlex
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner

from stackopt.cli import main

STOCK = """\
part number,kind,fits,thickness (mm),thickness tolerance (mm),opening (mm),on hand,unit cost
B-040,base gasket,KV82,0.40,0.03,,{bases},3.90
H-050,head gasket,KV82,0.50,0.05,83.0,{heads},21.00
"""
PRICES = """\
supplier,part number,price,pack,lead days
Quillhaven,B-040,6.40,2,5
"""
HEADS = "engine,family,cylinder,bore (mm),stroke (mm),deck (mm),deck side,quench min (mm),quench max (mm),due\n"
TODAY = "--today 2030-01-10"


def rows_of(engine: str, due: str) -> str:
    sides = ("front", "rear")
    return "".join(f"{engine},KV82,{side},82.00,78.0,0.00,below,0.85,0.95,{due}\n" for side in sides)


class Shop:
    """A shop with two engines, told with commands."""

    def open(self, bases: int = 2, heads: int = 4, engines: str = "", prices: str = PRICES) -> Shop:
        Path("stock.csv").write_text(STOCK.format(bases=bases, heads=heads))
        Path("prices.csv").write_text(prices)
        Path("engines.csv").write_text(
            HEADS + (engines or rows_of("HC-1", "2030-02-12") + rows_of("HC-2", "2030-03-01"))
        )
        self.says("load stock.csv prices.csv engines.csv --yes")
        return self

    def says(self, line: str, code: int = 0) -> str:
        words = shlex.split(line)
        result = CliRunner(env={"COLUMNS": "120"}).invoke(main, words if words[0] == "fit" else ["shop", *words])
        assert result.exit_code == code, result.output
        return " ".join(result.output.split())

    def on(self, engine: str) -> dict[str, Any]:
        lines = json.loads(CliRunner().invoke(main, ["shop", "board", "--json", *TODAY.split()]).stdout)
        (line,) = (line for line in lines if line["engine"] == engine)
        return dict(line)

    def shelf(self, part: str) -> tuple[int, int, int, int]:
        """Return on hand, held, free and on order."""
        (row,) = json.loads(CliRunner().invoke(main, ["shop", "stock", part, "--json"]).stdout)["parts"]
        return row["on_hand"], row["held"], row["free"], row["on_order"]


@pytest.fixture
def shop(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Shop:
    monkeypatch.chdir(tmp_path)
    monkeypatch.delenv("STACKOPT_LEDGER", raising=False)
    monkeypatch.setenv("STACKOPT_WHO", "ana")
    return Shop()


def both_held(shop: Shop, heads: int = 4) -> None:
    """HC-1 takes the two bases on the shelf; for HC-2 two are ordered, and its heads are held."""
    shop.open(heads=heads)
    shop.says(f"fit HC-1 --hold {TODAY}")
    shop.says(f"fit HC-2 --hold {TODAY}")
    shop.says(f"send 1 {TODAY}")


def test_an_engine_that_is_begun_without_its_bases_gets_them_when_they_come(shop: Shop) -> None:
    """Asked first; then its heads go in, it is being fitted, and the bases are held for it and go in as well."""
    both_held(shop)
    assert "HC-2 lacks 2 of B-040" in shop.says("use HC-2", 2)
    assert shop.on("HC-2")["holds"] == {"H-050": 2}
    shop.says("use HC-2 --yes")
    assert shop.on("HC-2")["state"] == "being fitted"
    shop.says("receive --order 1")
    assert shop.on("HC-2")["next"] == "build: stackopt shop use HC-2"
    shop.says("use HC-2")
    assert shop.shelf("B-040") == (2, 2, 0, 0)  # those of HC-1


def test_what_a_released_engine_waited_for_is_another_s(shop: Shop) -> None:
    """HC-2 gives up; HC-3 waits for the same order, and nothing is ordered twice."""
    both_held(shop, heads=6)
    shop.says("release HC-2")
    Path("more.csv").write_text(HEADS + rows_of("HC-3", "2030-02-20"))
    shop.says("load more.csv --yes")
    assert "drafted" not in shop.says(f"fit HC-3 --hold {TODAY}")
    assert [each["order"] for each in shop.on("HC-3")["waits_for"]] == [1]
    assert shop.on("HC-2")["state"] == "to plan"


def test_a_delivery_whose_pieces_are_in_an_engine_is_not_taken_back(shop: Shop) -> None:
    """It says which engine has them, and the shelf stays as it is."""
    both_held(shop)
    shop.says("receive --order 1")
    shop.says("use HC-2")
    received = json.loads(CliRunner().invoke(main, ["shop", "history", "--json"]).stdout)[-2]["event"]
    assert "HC-2" in shop.says(f"undo {received}", 2)
    assert shop.shelf("B-040") == (2, 2, 0, 0)


def test_an_order_cancelled_by_mistake_is_whole_again_after_undo(shop: Shop) -> None:
    both_held(shop)
    shop.says("cancel 1")
    assert shop.on("HC-2")["state"] == "to plan"
    shop.says("undo")
    assert [each["quantity"] for each in shop.on("HC-2")["waits_for"]] == [2]
    assert shop.shelf("B-040")[3] == 2


def test_a_draft_that_arrives_says_how_to_send_it_and_too_many_pieces_where_to_put_them(shop: Shop) -> None:
    shop.open(bases=0)
    shop.says(f"fit HC-1 --hold {TODAY}")
    assert "If it was sent: stackopt shop send 1" in shop.says("receive --order 1", 2)
    shop.says("send 1")
    assert "the 2 still to come" in shop.says("receive --order 1 B-040=3", 2)
    assert shop.shelf("B-040") == (0, 0, 0, 2)


def test_what_came_of_a_cancelled_order_stays(shop: Shop) -> None:
    """One of two came: HC-2 keeps it and is to plan for the other; nothing is on order."""
    both_held(shop)
    shop.says("receive --order 1 B-040=1")
    assert "HC-2 waited for it" in shop.says("cancel 1")
    assert shop.shelf("B-040") == (3, 3, 0, 0)
    assert (shop.on("HC-2")["state"], shop.on("HC-2")["lacks"]) == ("to plan", {"B-040": 1})


def test_pieces_that_the_stock_list_awaits_are_waited_for(shop: Shop) -> None:
    """Nothing is ordered; they come without an order and are held at once."""
    shop.open(bases=0, prices="supplier,part number,price,pack,lead days\nQuillhaven,H-050,22.00,1,3\n")
    Path("more.csv").write_text(
        "part number,kind,fits,thickness (mm),on hand,on order,expected\nB-040,base gasket,KV82,0.40,0,2,2030-01-20\n"
    )
    shop.says("load more.csv --yes")
    shop.says(f"fit HC-1 --hold {TODAY}")
    assert (shop.on("HC-1")["state"], shop.on("HC-1")["ready_on"]) == ("waiting for parts", "2030-01-20")
    shop.says("receive B-040=2")
    assert shop.on("HC-1")["state"] == "ready to build"


def test_a_late_order_makes_only_those_late_who_still_wait_for_it(shop: Shop) -> None:
    shop.open(bases=0, engines=rows_of("HC-1", "2030-01-20") + rows_of("HC-2", "2030-03-01"))
    for engine in ("HC-1", "HC-2"):
        shop.says(f"fit {engine} --hold {TODAY}")
    shop.says(f"send 1 {TODAY}")
    said = shop.says(f"confirm 1 B-040 --day 2030-01-25 {TODAY}")
    assert "HC-1 is 5 days late" in said
    assert "HC-2" not in said


def test_what_the_board_says_is_next_works_as_it_stands_for_any_name(shop: Shop) -> None:
    shop.open(engines=rows_of("Ana's 1", "2030-02-12"))
    for state in ("ready to build", "being fitted"):
        command = shop.on("Ana's 1")["next"].partition(": ")[2].removeprefix("stackopt ")
        shop.says(f"{command} {TODAY}" if command.startswith("fit") else command.removeprefix("shop "))
        assert shop.on("Ana's 1")["state"] == state


def test_a_mock_up_with_checking_pieces_takes_nothing_and_teaches_nothing_of_them(shop: Shop) -> None:
    shop.open()
    shop.says(f"fit HC-1 --hold {TODAY}")
    shop.says("use HC-1 --took 'front=0.40 mm+H-050' --took 'rear=0.40 mm+H-050'")
    assert (shop.shelf("B-040"), shop.shelf("H-050")) == ((2, 0, 2, 0), (2, 0, 2, 0))
    shop.says("measure HC-1 front '0.93 mm'")
    learned = json.loads(CliRunner().invoke(main, ["shop", "thickness", "--json"]).stdout)["parts"]
    assert [each["part"] for each in learned] == ["H-050"]


def test_a_measured_delivery_is_what_the_waiting_engine_is_looked_at_with(shop: Shop) -> None:
    """0.44 where 0.40 is listed: HC-1 holds it, was chosen for before, and comes to 0.44 + 0.50."""
    shop.open(bases=0)
    shop.says(f"fit HC-1 --hold {TODAY}")
    shop.says("send 1")
    said = shop.says("receive --order 1 --measured 'B-040=0.44 mm' --measured 'B-040=0.44 mm'")
    assert "B-040: 0.440 mm over 2 pieces." in said
    assert "HC-1 was chosen for before that was known" in said
    answer = json.loads(CliRunner().invoke(main, ["fit", "HC-1", "--json", *TODAY.split()]).stdout)
    assert answer["engines"][0]["cylinders"][0]["quench_mm"] == pytest.approx(0.94)
    assert "measured on 2 pieces of its deliveries" in json.dumps(answer)


def test_a_thickness_far_from_the_list_is_asked_about(shop: Shop) -> None:
    shop.open(bases=0)
    said = shop.says("receive B-040=2 --measured 'B-040=0.62 mm'", 2)
    assert "0.620 mm measured, 0.400 mm listed as installed" in said
    assert shop.shelf("B-040")[0] == 0
    assert "expected a part and the thickness of a piece" in shop.says("receive B-040=2 --measured 0.4", 2)
