"""Random small shops with every term of buying that there is: one to four engines, one to four suppliers. All invented.

Freight, free freight, minimum orders, packs, least packs, price breaks, kits, two lead times of one part at one
supplier, old numbers, special orders, due dates, pieces reserved and under way, and parts that no open engine takes.
"""

from __future__ import annotations

import random
from collections.abc import Iterator
from datetime import timedelta

from stackopt.choose.choice_records import Request
from stackopt.engine.engine_records import Cylinder, Engine, Window
from stackopt.parts.part_records import Kind, Kit, Offer, Part, PriceTier, StockLine, Supplier, Supply
from tests.choose.situations import TODAY

NAMES = ("front", "rear")
DAYS = (0, 2, 5, 9, 14, 30)


def small_shop(seed: int, prefer: tuple[str, ...] = ()) -> tuple[Request, Supply]:
    """Return a shop of up to four engines in up to two families, and what there is for them."""
    rng = random.Random(seed)
    families = rng.choice([("A",), ("A", "B"), ("A", "B")])
    parts = {part.number: part for family in families for part in _family_parts(rng, family)}
    parts |= {f"Z-{n}": Part(f"Z-{n}", Kind.HEAD_GASKET, frozenset({"Z"}), 1.0) for n in range(rng.choice([0, 2, 4]))}
    kits = {"K-A": Kit("K-A", {"A-B1": rng.choice([1, 2]), "A-H1": rng.choice([1, 2])})} if rng.random() < 0.3 else {}
    stock = {number: _stock(rng, number) for number in parts if rng.random() < 0.7}
    stock |= {number: StockLine(number, rng.choice([0, 1]), 0, rng.choice([0, 2400])) for number in kits}
    suppliers = {
        name: _supplier(rng, name) for name in ("East", "North", "South", "West")[: rng.choice([1, 2, 2, 3, 4])]
    }
    offers = tuple(_offers(rng, [*parts, *kits], sorted(suppliers)))
    engines = tuple(_engine(rng, number, rng.choice(families)) for number in range(rng.choice([1, 2, 2, 3, 4])))
    return Request(engines, TODAY, prefer), Supply(parts, stock, offers, suppliers, kits)


def _family_parts(rng: random.Random, family: str) -> list[Part]:
    fits = frozenset({family})
    bases = [Part(f"{family}-B{n}", Kind.BASE_GASKET, fits, mm) for n, mm in enumerate((0.3, 0.4, 0.5))]
    heads = [
        Part(f"{family}-H{n}", Kind.HEAD_GASKET, fits, mm, opening_mm=84.0) for n, mm in enumerate((0.4, 0.5, 0.6))
    ]
    whole = Part(f"{family}-W", Kind.HEAD_GASKET, fits, 0.5, opening_mm=84.0, covers=2)
    return [*bases, *heads, *([whole] if rng.random() < 0.3 else [])]


def _stock(rng: random.Random, number: str) -> StockLine:
    on_order = rng.choice([0, 0, 0, 1, 2])
    expected = None if not on_order or rng.random() < 0.3 else TODAY + timedelta(days=rng.choice([-3, 1, 4, 12]))
    return StockLine(
        number,
        rng.choice([0, 0, 1, 2]),
        rng.choice([0, 0, 0, 1]),
        rng.choice([0, 310, 925]),
        on_order=on_order,
        expected=expected,
    )


def _supplier(rng: random.Random, name: str) -> Supplier:
    free_over = rng.choice([None, rng.randrange(1500, 9000)])
    return Supplier(name, rng.choice([0, 600, 950, 1450]), free_over, rng.choice([0, 0, rng.randrange(1000, 6000)]))


def _offers(rng: random.Random, numbers: list[str], suppliers: list[str]) -> Iterator[Offer]:
    for number in numbers:
        for supplier in suppliers:
            if rng.random() < 0.55:
                continue
            line = _line(rng, supplier, number)
            yield line
            if rng.random() < 0.15:
                dearer = tuple(PriceTier(tier.from_packs, tier.price_cents * 13 // 10) for tier in line.tiers)
                yield Offer(supplier, number, dearer, f"{number}-X", line.pack, line.minimum_packs, line.lead_days // 3)


def _line(rng: random.Random, supplier: str, number: str) -> Offer:
    price = rng.randrange(330, 2600)
    breaks = (PriceTier(rng.choice([2, 3, 5]), price * rng.choice([6, 8, 9]) // 10),) if rng.random() < 0.35 else ()
    superseded = number.endswith("B0") and rng.random() < 0.2
    return Offer(
        supplier,
        number,
        (PriceTier(1, price), *breaks),
        pack=rng.choice([1, 1, 2, 4]),
        minimum_packs=rng.choice([1, 1, 1, 2]),
        lead_days=rng.choice(DAYS),
        special_order=rng.random() < 0.15,
        discontinued=rng.random() < 0.05,
        superseded_by=f"{number[0]}-B1" if superseded else "",
    )


def _engine(rng: random.Random, number: int, family: str) -> Engine:
    names = NAMES if rng.random() < 0.6 else NAMES[:1]
    return Engine(
        name=f"E{number}",
        family=family,
        cylinders=tuple(
            Cylinder(name, 82.0, 78.0, rng.choice([-0.1, 0.0, 0.05, 0.1, 0.2]), 46.0, 2.0, quench=Window(0.78, 1.05))
            for name in names
        ),
        due=rng.choice([None, *(TODAY + timedelta(days=days) for days in (-1, 3, 6, 10, 20, 40))]),
        priority=rng.choice([1, 1, 1, 3]),
    )
