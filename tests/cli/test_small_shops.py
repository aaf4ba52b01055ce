"""Small shops as books, through `plan` itself: the order is the least there is, and its answer adds up."""

from __future__ import annotations

import json
import math
import os
from collections import Counter
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner
from msgspec.structs import replace

from stackopt.choose.choice_records import ON_ORDER, SHELF, Request
from stackopt.choose.model.objectives import in_order
from stackopt.cli import main
from stackopt.parts.part_records import StockLine, Supply
from tests.benchmarks.plan import write_shop
from tests.choose.exhaustive import engine_options, orderable
from tests.choose.situations import TODAY
from tests.choose.small_shops import small_shop
from tests.choose.unsplit_model import optimal_values

# More with STACKOPT_SMALL_SHOPS=300, for one.
SHOPS = int(os.environ.get("STACKOPT_SMALL_SHOPS", "12"))


def planned(path: Path, request: Request, supply: Supply) -> dict[str, Any]:
    # A book describes a part where it is stocked or offered; one that only a kit or an old number brings is stocked.
    described = {number: StockLine(number, 0) for number in supply.parts} | dict(supply.stock)
    write_shop(path, request, replace(supply, stock=described))
    result = CliRunner().invoke(main, ["plan", "--book", str(path), "--today", TODAY.isoformat(), "--json"])
    assert result.exit_code in (0, 1), result.stderr
    answer: dict[str, Any] = json.loads(result.stdout)
    return answer


@pytest.mark.parametrize("seed", range(SHOPS))
def test_no_order_is_beaten_and_every_answer_adds_up(tmp_path: Path, seed: int) -> None:
    request, supply = small_shop(seed)
    answer = planned(tmp_path / "shop.xlsx", request, supply)
    assert answer["status"] == "proven"
    wanted = optimal_values(request, supply, [objective.name for objective in in_order(())])
    assert {each["objective"]: each["value"] for each in answer["passes"]} == pytest.approx(wanted, abs=2e-6)
    check_engines(answer, request, supply)
    check_orders(answer, supply)
    check_use(answer, request, supply)


def check_engines(answer: dict[str, Any], request: Request, supply: Supply) -> None:
    """Every engine has pieces that go on it together, or a reason why it has none."""
    for engine, got in zip(request.engines, answer["engines"], strict=True):
        assert got["blocked"] == (not got["cylinders"]) == bool(got["reasons"])
        if not got["blocked"]:
            assert pieces_of(got, supply) in [needs for _, needs in engine_options(engine, supply)]


def pieces_of(got: dict[str, Any], supply: Supply) -> Counter[str]:
    """Count the pieces of an engine; one that covers both cylinders stands under each and counts once."""
    listed = Counter(piece["part"] for cylinder in got["cylinders"] for piece in cylinder["pieces"])
    return Counter({part: count // supply.parts[part].covers for part, count in listed.items()})


def check_orders(answer: dict[str, Any], supply: Supply) -> None:
    """Prices, freight and thresholds are those of the lists, and what is said to be spent is."""
    for order in answer["orders"]:
        terms = supply.supplier(order["supplier"])
        lines_cents = sum(line["line_cents"] for line in order["lines"])
        waived = terms.free_freight_over_cents is not None and lines_cents >= terms.free_freight_over_cents
        assert order["freight_cents"] == (0 if waived else terms.freight_cents)
        assert lines_cents >= terms.minimum_order_cents
        for line in order["lines"]:
            assert line["line_cents"] == line["packs"] * line["price_cents"]
            assert (line["why"] == "needed") == bool(line["for"])
            assert 0 <= line["filler_packs"] <= line["packs"]
            assert any(
                (offer.supplier, offer.part, offer.supplier_part)
                == (order["supplier"], line["part"], line["supplier_part"])
                and offer.price_cents(line["packs"]) == line["price_cents"]
                and line["packs"] >= offer.minimum_packs
                for offer in orderable(supply)
            )
    assert answer["spend_cents"] == sum(order["total_cents"] for order in answer["orders"])


def check_use(answer: dict[str, Any], request: Request, supply: Supply) -> None:
    """Pieces and `use` agree; no source gives more than it has by the day that an engine is due."""
    taken: dict[tuple[str, str], list[float]] = {}
    for engine, got in zip(request.engines, answer["engines"], strict=True):
        days = math.inf if engine.due is None else (engine.due - request.today).days
        seen: Counter[str] = Counter()
        for piece in (piece for cylinder in got["cylinders"] for piece in cylinder["pieces"]):
            seen[piece["part"]] += 1
            if seen[piece["part"]] % supply.parts[piece["part"]].covers == 0:
                taken.setdefault((piece["part"], piece["from"]), []).append(days)
    used = {(use["part"], use["from"]): use["quantity"] for use in answer["use"] if use["part"] not in supply.kits}
    assert used == {key: len(days) for key, days in taken.items()}
    for (part, source), deadlines in taken.items():
        for day in deadlines:
            within = sum(each <= day for each in deadlines)
            assert within <= there(answer, request, supply, (part, source, day)), (part, source, day)


def there(answer: dict[str, Any], request: Request, supply: Supply, asked: tuple[str, str, float]) -> int:
    """Return how many pieces of a part a source has by a day."""
    part, source, day = asked
    if source == SHELF:
        return supply.free(part)
    if source == ON_ORDER:
        lots = [each for each in supply.under_way if each.part == part and each.day is not None]
        return sum(lot.quantity for lot in lots if max(0, (lot.day - request.today).days) <= day)
    if source in supply.kits:
        opened = sum(use["quantity"] for use in answer["use"] if use["part"] == source and use["from"] == SHELF)
        assert opened <= supply.free(source)
        return opened * supply.kits[source].contents[part]
    brought = 0
    for line in (line for order in answer["orders"] if order["supplier"] == source for line in order["lines"]):
        lead = (TODAY.fromisoformat(line["here_on"]) - request.today).days
        held = (
            supply.kits[line["part"]].contents.get(part, 0)
            if line["part"] in supply.kits
            else int(line["part"] == part)
        )
        brought += line["packs"] * line["pack"] * held * (lead <= day)
    return brought
