"""Made-up families, gaskets and outlooks, small enough to be tried through or as large as a test asks."""

from __future__ import annotations

import math

import numpy as np

from stackopt.engine.engine_records import Cylinder, Engine, Window
from stackopt.parts.part_records import Kind, Offer, Part, PriceTier, StockLine, Supply
from stackopt.stocking.range.outlook import Deck, FamilyToCome, Outlook

QUENCH = Window(0.762, 1.016)


def twin(family: str, *, bore_mm: float = 82.0, decks_mm: tuple[float, float] = (0.0, 0.0)) -> Engine:
    """An engine whose ratio is in the middle of its window when its gaskets come to 0.89 mm over a deck of 0."""
    stroke_mm, aim = 76.0, 9.7
    swept_cc = math.pi / 4 * bore_mm**2 * stroke_mm / 1000
    chamber_cc = swept_cc / (aim - 1) - math.pi / 4 * bore_mm**2 * 0.89 / 1000
    cylinders = tuple(
        Cylinder(name, bore_mm, stroke_mm, deck_mm, chamber_cc, quench=QUENCH, compression=Window(9.4, 10.1))
        for name, deck_mm in zip(("front", "rear"), decks_mm, strict=True)
    )
    return Engine(f"{family}-0", family, cylinders)


def made_up_families(
    seed: int, families: int, bases: int, heads: int, *, engines: int, scenarios: int
) -> tuple[Outlook, Supply]:
    """Families with gaskets a tenth apart, prices of their own, and a shelf that nobody thought about."""
    rng = np.random.default_rng(seed)
    parts: dict[str, Part] = {}
    stock, offers, to_come = {}, [], []
    for index in range(families):
        code, bore_mm, mean_mm = f"F{index:02}", 80.0 + 2 * index, float(rng.normal(-0.1, 0.05))
        own = [Part(f"{code}-B{n}", Kind.BASE_GASKET, frozenset({code}), 0.25 + 0.1 * n) for n in range(bases)]
        own += [
            Part(f"{code}-H{n}", Kind.HEAD_GASKET, frozenset({code}), 0.3 + 0.1 * n, opening_mm=bore_mm + 2)
            for n in range(heads)
        ]
        for part in own:
            usual_cents = 600 if part.kind is Kind.BASE_GASKET else 1500
            price_cents = int(usual_cents * rng.uniform(0.8, 1.3))
            parts[part.number] = part
            offers.append(Offer("Bergmann", part.number, (PriceTier(1, price_cents),)))
            stock[part.number] = StockLine(part.number, int(rng.integers(0, 3)), unit_cost_cents=price_cents)
        deck = Deck(mean_mm, float(rng.uniform(0.08, 0.16)))
        to_come.append(FamilyToCome(code, float(rng.uniform(0.5, 1.5)), (twin(code, bore_mm=bore_mm),), deck))
    return Outlook(tuple(to_come), engines, scenarios, seed), Supply(parts, stock, tuple(offers))
