"""Made-up shops of any size: engines by families, parts by families, suppliers with freight, thresholds and kits."""

from __future__ import annotations

import random
from datetime import date, timedelta

from stackopt.choose.choice_records import Request
from stackopt.engine.engine_records import Cylinder, Engine, Window
from stackopt.parts.part_records import Kind, Kit, Offer, Part, PriceTier, StockLine, Supplier, Supply

TODAY = date(2027, 3, 1)
ENGINES_A_FAMILY = 12
BASES_MM = (0.2, 0.25, 0.3, 0.4, 0.5, 0.65, 0.8)
HEADS_MM = (0.3, 0.4, 0.5, 0.6, 0.7, 0.8, 1.0, 1.2)
SUPPLIERS = 12


def made_up_shop(
    engines: int, seed: int = 1, *, thresholds: bool = False, engines_a_family: int = ENGINES_A_FAMILY
) -> tuple[Request, Supply]:
    """Return a shop of so many twins; with `thresholds` some suppliers have minimum orders or free freight."""
    rng = random.Random(seed)
    families = max(1, -(-engines // engines_a_family))
    suppliers = {f"Supplier {n:02}": _supplier(rng, n, thresholds) for n in range(SUPPLIERS)}
    parts, stock, offers, kits = {}, {}, [], {}
    for family in range(families):
        own = _family_parts(family)
        parts |= {part.number: part for part in own}
        stock |= {part.number: _stock(rng, part) for part in own}
        sellers = rng.sample(sorted(suppliers), 4)
        offers += [_offer(rng, part, seller) for part in own for seller in rng.sample(sellers, 2)]
        kit = Kit(f"K{family:03}", {own[2].number: 2, own[9].number: 2})
        kits[kit.number] = kit
        stock[kit.number] = StockLine(kit.number, rng.choice([0, 1]), 0, 2600)
        offers.append(Offer(sellers[0], kit.number, (PriceTier(1, 4200),), lead_days=7))
    request = Request(tuple(_engine(rng, number, number // engines_a_family) for number in range(engines)), TODAY)
    return request, Supply(parts, stock, tuple(offers), suppliers, kits)


def _supplier(rng: random.Random, number: int, thresholds: bool) -> Supplier:
    free_over = rng.choice([None, 15000, 30000]) if thresholds else None
    minimum = rng.choice([0, 0, 4000]) if thresholds else 0
    return Supplier(f"Supplier {number:02}", rng.choice([600, 900, 1450]), free_over, minimum)


def _family_parts(family: int) -> list[Part]:
    fits = frozenset({f"F{family:03}"})
    bases = [Part(f"F{family:03}-B{n}", Kind.BASE_GASKET, fits, mm, 0.02) for n, mm in enumerate(BASES_MM)]
    heads = [
        Part(f"F{family:03}-H{n}", Kind.HEAD_GASKET, fits, mm, 0.03, opening_mm=86.0) for n, mm in enumerate(HEADS_MM)
    ]
    return bases + heads


def _stock(rng: random.Random, part: Part) -> StockLine:
    cost = rng.randrange(180, 420) if part.kind is Kind.BASE_GASKET else rng.randrange(900, 2100)
    return StockLine(part.number, rng.choice([0, 1, 2, 3, 4, 6]), 0, cost)


def _offer(rng: random.Random, part: Part, supplier: str) -> Offer:
    price = rng.randrange(350, 800) if part.kind is Kind.BASE_GASKET else rng.randrange(1400, 3200)
    breaks = (PriceTier(rng.choice([2, 3, 5]), price * 9 // 10),) if rng.random() < 0.4 else ()
    return Offer(
        supplier=supplier,
        part=part.number,
        tiers=(PriceTier(1, price), *breaks),
        pack=rng.choice([1, 1, 2, 5]),
        minimum_packs=rng.choice([1, 1, 1, 2]),
        lead_days=rng.choice([3, 7, 14, 28]),
        special_order=rng.random() < 0.15,
    )


def _engine(rng: random.Random, number: int, family: int) -> Engine:
    cylinders = tuple(
        Cylinder(
            name=name,
            bore_mm=84.0,
            stroke_mm=80.0,
            deck_height_mm=round(rng.gauss(-0.05, 0.12), 2),
            chamber_volume_cc=round(rng.gauss(48.5, 0.5), 1),
            piston_volume_cc=1.5,
            quench=Window(0.8, 1.0, 0.89),
            compression=Window(9.3, 9.9, 9.6),
        )
        for name in ("front", "rear")
    )
    return Engine(
        name=f"E{number:04}",
        family=f"F{family:03}",
        cylinders=cylinders,
        due=TODAY + timedelta(days=rng.choice([5, 10, 21, 40, 60])),
        priority=rng.choice([1, 1, 1, 2, 5]),
    )
