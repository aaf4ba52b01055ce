"""Published optima of the literature through `stackopt plan` itself, from a book to the printed document.

The instances and how they are mapped: `tests.choose.test_published`. A price of zero is a question, so every customer
costs a currency unit more here, which moves no choice.
"""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from click.testing import CliRunner
from msgspec.structs import replace

from stackopt.cli import main
from stackopt.parts.part_records import PriceTier
from tests.benchmarks.plan import write_shop
from tests.choose.situations import TODAY
from tests.choose.test_published import UNITS, warehouse_situation
from tests.full import WHOLE
from tests.warehouses import OPTIMA, needs_files, read_warehouses

MORE_CENTS = 100
# The usual run takes two of them, of 16 and of 25 warehouses.
PROVEN = OPTIMA if WHOLE else [OPTIMA[3], OPTIMA[7]]


@needs_files
@pytest.mark.parametrize(("name", "optimum"), PROVEN)
def test_the_command_proves_the_published_optimum(tmp_path: Path, name: str, optimum: float) -> None:
    """The optima are printed to three decimals and cut: they agree within 0.002."""
    request, supply = warehouse_situation(read_warehouses(name), shared_head=False)
    dearer = tuple(
        replace(offer, tiers=(PriceTier(1, offer.tiers[0].price_cents + MORE_CENTS),)) for offer in supply.offers
    )
    book = tmp_path / "shop.xlsx"
    write_shop(book, request, replace(supply, offers=dearer))
    result = CliRunner().invoke(main, ["plan", "--book", str(book), "--today", TODAY.isoformat(), "--json"])
    assert result.exit_code == 0, result.stderr
    answer = json.loads(result.stdout)
    assert answer["status"] == "proven"
    spent = (answer["spend_cents"] - MORE_CENTS * len(request.engines)) / UNITS
    assert spent == pytest.approx(optimum, abs=0.002)
