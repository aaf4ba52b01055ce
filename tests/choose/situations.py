"""Random small situations for the tests of the choice: engines, a shelf, suppliers, kits. All invented."""

from __future__ import annotations

import random
from datetime import date, timedelta

from stackopt.choose.choice_records import Request
from stackopt.engine.engine_records import Cylinder, Engine, Match, Window
from stackopt.engine.moving import PortSpan
from stackopt.parts.part_records import Kind, Kit, Offer, Part, PriceTier, StockLine, Supplier, Supply

TODAY = date(2027, 3, 1)
ORDERS_OF_OBJECTIVES = (
    (),
    ("spend", "special-orders"),
    ("closeness", "spend"),
    ("orders", "closeness"),
    ("shelf-value", "spend"),
    ("wait", "spend"),
    ("spend", "wait"),
    ("chance", "spend"),
    ("special-orders", "spend", "closeness", "chance"),
)


def random_situation(seed: int) -> tuple[Request, Supply]:
    """Return one or two engines with at most three cylinders in all, and what there is for them."""
    rng = random.Random(seed)
    shape = rng.choice([(1,), (2,), (2,), (1, 1), (1, 2), (1, 1, 1)])
    engines = tuple(_engine(rng, number, cylinders) for number, cylinders in enumerate(shape))
    parts = _parts(rng)
    kits = _kits(rng, parts)
    stock = {
        part.number: StockLine(part.number, rng.choice([0, 1, 2, 3]), rng.choice([0, 0, 1]), rng.choice([0, 320, 905]))
        for part in parts
        if rng.random() < 0.75
    }
    stock |= {kit: StockLine(kit, rng.choice([0, 1]), 0, rng.choice([0, 1500])) for kit in kits}
    suppliers = {name: _supplier(rng, name) for name in ("North", "South")}
    offers = tuple(_offer(rng, [*(part.number for part in parts), *kits]) for _ in range(rng.choice([1, 2, 3])))
    supply = Supply({part.number: part for part in parts}, stock, offers, suppliers, kits)
    return Request(engines, TODAY, ORDERS_OF_OBJECTIVES[seed % len(ORDERS_OF_OBJECTIVES)]), supply


def _engine(rng: random.Random, number: int, cylinders: int) -> Engine:
    names = ("front", "rear")[:cylinders]
    return Engine(
        name=f"E{number}",
        family="A",
        cylinders=tuple(
            Cylinder(
                name=name,
                bore_mm=82.0,
                stroke_mm=78.0,
                deck_height_mm=rng.choice([-0.15, -0.05, 0.0, 0.05, 0.1, 0.2]),
                chamber_volume_cc=rng.choice([45.0, 46.5]),
                piston_volume_cc=2.0,
                quench=Window(0.7, 1.1, rng.choice([None, 0.85])),
                compression=rng.choice([None, Window(9.0, 9.8), Window(9.2, None, rng.choice([None, 9.6]))]),
            )
            for name in names
        ),
        due=rng.choice([None, TODAY + timedelta(days=5), TODAY + timedelta(days=20)]),
        priority=rng.choice([1, 1, 3]),
        shims=rng.choice([0, 0, 1]) if cylinders == 1 else 0,
        match=Match(rng.choice([None, 0.1]), rng.choice([None, None, 0.15])),
        ports=PortSpan(rng.choice([45.0, 90.0]), 0.85, rng.choice([None, 0.1, 0.2])) if cylinders == 2 else None,
    )


def _parts(rng: random.Random) -> list[Part]:
    bases = [
        Part(
            f"B{number}",
            Kind.BASE_GASKET,
            frozenset({"A"}),
            rng.choice([0.25, 0.3, 0.4, 0.5]),
            _tolerance_mm(rng),
            covers=_covers(rng),
        )
        for number in range(rng.choice([2, 3]))
    ]
    heads = [
        Part(
            f"H{number}",
            Kind.HEAD_GASKET,
            frozenset({rng.choice(["A", "A", "A", "A", "*", "Z"])}),
            rng.choice([0.35, 0.45, 0.5, 0.6]),
            _tolerance_mm(rng),
            opening_mm=rng.choice([81.5, 82.0, 83.5, 83.5, None]),
            covers=_covers(rng),
        )
        for number in range(rng.choice([2, 3]))
    ]
    shims = [Part("S0", Kind.BASE_SHIM, frozenset({"A"}), 0.1)] if rng.random() < 0.4 else []
    return bases + heads + shims


def _tolerance_mm(rng: random.Random) -> float:
    return rng.choice([0.0, 0.05, 0.2])


def _covers(rng: random.Random) -> int:
    return rng.choice([1, 1, 1, 1, 2])


def _kits(rng: random.Random, parts: list[Part]) -> dict[str, Kit]:
    if rng.random() < 0.6:
        return {}
    contents = rng.sample([part.number for part in parts], k=2)
    return {"K0": Kit("K0", {contents[0]: rng.choice([1, 2]), contents[1]: 1})}


def _supplier(rng: random.Random, name: str) -> Supplier:
    return Supplier(name, rng.choice([0, 700, 950]), rng.choice([None, 3000]), rng.choice([0, 0, 1500]))


def _offer(rng: random.Random, numbers: list[str]) -> Offer:
    price = rng.choice([450, 800, 1210])
    tiers = [PriceTier(1, price)]
    if rng.random() < 0.4:
        tiers.append(PriceTier(rng.choice([2, 3]), rng.choice([price // 2, price - 100])))
    return Offer(
        supplier=rng.choice(["North", "South"]),
        part=rng.choice(numbers),
        tiers=tuple(tiers),
        pack=rng.choice([1, 1, 2]),
        minimum_packs=rng.choice([1, 1, 2]),
        lead_days=rng.choice([0, 3, 5, 10, 30]),
        special_order=rng.random() < 0.3,
        discontinued=rng.random() < 0.05,
    )
