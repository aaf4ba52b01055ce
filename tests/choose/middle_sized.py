"""Random middle-sized shops for the tests of the choice: some 15 to 40 engines with everything the model knows.

Tiers, packs, kits, thresholds, due dates, priorities, shims, matching, one-piece gaskets, pieces for one position,
pieces that are fitted already. All invented.
"""

from __future__ import annotations

import random
from datetime import date, timedelta

from stackopt.choose.choice_records import Request
from stackopt.engine.engine_records import Cylinder, Engine, Match, Window
from stackopt.parts.part_records import Kind, Kit, Offer, Part, PriceTier, StockLine, Supplier, Supply

TODAY = date(2027, 3, 1)
NAMES = ("front", "rear")


def middle_sized_shop(seed: int, prefer: tuple[str, ...] = ()) -> tuple[Request, Supply]:
    """Return a shop of 15 to 40 engines in families of about six, and what there is for them."""
    rng = random.Random(seed)
    count = rng.randrange(15, 41)
    families = [f"F{n}" for n in range(max(2, count // 6))]
    parts = {part.number: part for family in families for part in _family_parts(rng, family)}
    kits = {f"K-{family}": _kit(rng, family, parts) for family in families if rng.random() < 0.6}
    stock = {number: _stock(rng, part) for number, part in parts.items() if rng.random() < 0.85}
    stock |= {number: StockLine(number, rng.choice([0, 1, 2]), 0, rng.choice([0, 2400])) for number in kits}
    suppliers = {f"S{n}": _supplier(rng, f"S{n}") for n in range(5)}
    offers = tuple(_offers(rng, [*parts, *kits], sorted(suppliers)))
    engines = tuple(_engine(rng, number, rng.choice(families), parts) for number in range(count))
    return Request(engines, TODAY, prefer), Supply(parts, stock, offers, suppliers, kits)


def _family_parts(rng: random.Random, family: str) -> list[Part]:
    fits = frozenset({family})
    bases = [Part(f"{family}-B{n}", Kind.BASE_GASKET, fits, mm) for n, mm in enumerate((0.25, 0.3, 0.4, 0.5))]
    heads = [
        Part(f"{family}-H{n}", Kind.HEAD_GASKET, fits, mm, opening_mm=rng.choice([81.8, 83.5, 84.5, None]))
        for n, mm in enumerate((0.35, 0.45, 0.55, 0.7))
    ]
    whole = Part(f"{family}-W", Kind.HEAD_GASKET, fits, rng.choice([0.4, 0.5]), opening_mm=84.0, covers=2)
    sided = Part(f"{family}-R", Kind.BASE_GASKET, fits, 0.35, position="rear")
    shim = Part(f"{family}-S", Kind.BASE_SHIM, fits, 0.1)
    return [*bases, *heads, *(part for part in (whole, sided, shim) if rng.random() < 0.6)]


def _kit(rng: random.Random, family: str, parts: dict[str, Part]) -> Kit:
    held = rng.sample(sorted(number for number in parts if number.startswith(f"{family}-")), k=2)
    return Kit(f"K-{family}", {held[0]: rng.choice([1, 2]), held[1]: 1})


def _stock(rng: random.Random, part: Part) -> StockLine:
    cost = (
        0
        if rng.random() < 0.2
        else rng.randrange(200, 400)
        if part.kind is Kind.BASE_GASKET
        else rng.randrange(900, 1900)
    )
    return StockLine(part.number, rng.choice([0, 1, 2, 3]), rng.choice([0, 0, 0, 1]), cost)


def _supplier(rng: random.Random, name: str) -> Supplier:
    return Supplier(name, rng.choice([0, 600, 950]), rng.choice([None, None, 9000]), rng.choice([0, 0, 3500]))


def _offers(rng: random.Random, numbers: list[str], suppliers: list[str]) -> list[Offer]:
    offers = []
    for number in numbers:
        for supplier in rng.sample(suppliers, rng.choice([0, 1, 1, 2])):
            price = rng.randrange(3500, 5000) if number.startswith("K-") else rng.randrange(400, 2600)
            breaks = (PriceTier(rng.choice([2, 3, 4]), price * 8 // 10),) if rng.random() < 0.4 else ()
            offers.append(
                Offer(
                    supplier,
                    number,
                    (PriceTier(1, price), *breaks),
                    pack=rng.choice([1, 1, 2, 4]),
                    minimum_packs=rng.choice([1, 1, 1, 2]),
                    lead_days=rng.choice([0, 3, 7, 14, 28]),
                    special_order=rng.random() < 0.2,
                    discontinued=rng.random() < 0.05,
                )
            )
    return offers


def _engine(rng: random.Random, number: int, family: str, parts: dict[str, Part]) -> Engine:
    names = NAMES if rng.random() < 0.8 else NAMES[:1]
    matched = rng.random() < 0.3
    pinned = {names[0]: (f"{family}-{rng.choice(['B1', 'B2', 'H1', 'H2'])}",)} if rng.random() < 0.15 else {}
    return Engine(
        name=f"E{number:02}",
        family=family,
        cylinders=tuple(_cylinder(rng, name) for name in names),
        due=rng.choice([None, *(TODAY + timedelta(days=days) for days in (-2, 4, 10, 21, 40))]),
        priority=rng.choice([1, 1, 1, 2, 5]),
        shims=rng.choice([0, 0, 0, 1]),
        opening_margin_mm=rng.choice([0.0, 0.0, 1.5]),
        match=Match(rng.choice([None, 0.08]), rng.choice([None, 0.12])) if matched else Match(),
        pinned=pinned,
    )


def _cylinder(rng: random.Random, name: str) -> Cylinder:
    return Cylinder(
        name=name,
        bore_mm=82.0,
        stroke_mm=78.0,
        deck_height_mm=round(rng.gauss(0.03, 0.13), 2),
        chamber_volume_cc=round(rng.gauss(45.8, 0.4), 1),
        piston_volume_cc=2.0,
        quench=Window(0.78, 1.02, rng.choice([None, 0.88])),
        compression=rng.choice([None, Window(8.9, 9.9), Window(9.0, None, 9.5)]),
    )
