"""Fillers chosen anew for their use: never dearer, never fewer pieces for an engine."""

from __future__ import annotations

import random

import pytest

from stackopt.choose.choice_records import Request, Useful, Why
from stackopt.choose.model.filled import filled_suppliers, usefully_filled
from stackopt.choose.solve.plan import plan
from stackopt.engine.engine_records import Cylinder, Engine, Window
from stackopt.parts.part_records import Kind, Offer, Part, PriceTier, StockLine, Supplier, Supply
from tests.choose.situations import TODAY
from tests.choose.small_shops import small_shop
from tests.full import usual_or_full

ENGINE = Engine("E", "A", (Cylinder("single", 82.0, 78.0, 0.0, quench=Window(0.8, 1.0)),))
PARTS = {
    part.number: part
    for part in (
        Part("B40", Kind.BASE_GASKET, frozenset({"A"}), 0.4),
        Part("H50", Kind.HEAD_GASKET, frozenset({"A"}), 0.5, opening_mm=84.0),
        *(Part(f"Z{n}", Kind.HEAD_GASKET, frozenset({"Z"}), 1.0) for n in range(3)),
    )
}


def shop(*lines: Offer, free_over_cents: int) -> Supply:
    """Return a shop that has the head gasket and lacks the base gasket; freight is 9.00."""
    suppliers = {"North": Supplier("North", 900, free_over_cents)}
    return Supply(PARTS, {"H50": StockLine("H50", 1)}, lines, suppliers)


def bought(supply: Supply, useful: dict[str, Useful]) -> dict[str, tuple[int, int]]:
    """Return packs and filler packs by part."""
    choice = usefully_filled(plan(Request((ENGINE,), TODAY), supply), supply, useful)
    return {line.offer.part: (line.packs, line.filler_packs) for order in choice.orders for line in order.lines}


def line(part: str, cents: int, *more: PriceTier) -> Offer:
    return Offer("North", part, (PriceTier(1, cents), *more))


def test_of_lines_that_cost_the_same_the_more_useful_fills() -> None:
    """B40 at 6.00 needs 2.00 more for free freight; Z0, Z1 and Z2 cost 3.00 each."""
    supply = shop(line("B40", 600), *(line(f"Z{n}", 300) for n in range(3)), free_over_cents=800)
    assert bought(supply, {})["B40"] == (1, 0)
    assert bought(supply, {"Z2": Useful(listed=True)}) == {"B40": (1, 0), "Z2": (1, 1)}
    assert bought(supply, {"Z2": Useful(listed=True), "Z1": Useful(used_a_year=2)}) == {"B40": (1, 0), "Z1": (1, 1)}
    wanted = {"Z0": Useful(wanted=1), "Z1": Useful(used_a_year=2), "Z2": Useful(listed=True)}
    assert bought(supply, wanted) == {"B40": (1, 0), "Z0": (1, 1)}


def test_more_of_what_an_engine_needs_gives_way_to_what_the_shelf_wants_at_the_same_price() -> None:
    """Another B40 and Z0 cost 3.00 both."""
    supply = shop(line("B40", 300), line("Z0", 300), free_over_cents=600)
    assert bought(supply, {"Z0": Useful(wanted=1)}) == {"B40": (1, 0), "Z0": (1, 1)}
    assert bought(supply, {"B40": Useful(wanted=1)}) == {"B40": (2, 1)}


def test_packs_that_lower_the_price_stay() -> None:
    """Two at 2.00 cost less than one at 5.00: the second is bought for its price, whatever else is wanted."""
    supply = shop(line("B40", 500, PriceTier(2, 200)), line("Z0", 200), free_over_cents=99_900)
    assert bought(supply, {"Z0": Useful(wanted=1)}) == {"B40": (2, 1)}


@pytest.mark.parametrize("seed", range(usual_or_full(60, 2000)))
def test_it_costs_the_same_and_engines_keep_what_they_got(seed: int) -> None:
    request, supply = small_shop(seed)
    choice = plan(request, supply)
    rng = random.Random(seed)
    useful = {part: Useful(rng.choice([0, 0, 2]), rng.choice([0, 3, 9])) for part in sorted(supply.parts)}
    filled = usefully_filled(choice, supply, useful)
    assert (filled.spend_cents, filled.engines, filled.use) == (choice.spend_cents, choice.engines, choice.use)
    for before, after in zip(choice.orders, filled.orders, strict=True):
        assert (after.supplier, after.total_cents) == (before.supplier, before.total_cents)
        needed = {(each.offer, each.packs - each.filler_packs) for each in before.lines if each.why is Why.NEEDED}
        assert needed == {
            (each.offer, each.packs - each.filler_packs) for each in after.lines if each.why is Why.NEEDED
        }
        assert before.supplier in filled_suppliers(choice) or before == after
