"""Made-up shelves and price lists, small enough to be looked through."""

from __future__ import annotations

from datetime import date, timedelta

from stackopt.choose.choice_records import Request
from stackopt.parts.part_records import Kind, Offer, Part, PriceTier, StockLine, Supplier, Supply, Usage

TODAY = date(2026, 6, 1)
NOTHING_OPEN = Request((), TODAY)


def offer(part: str, price_cents: int, supplier: str = "Bergmann", **terms: object) -> Offer:
    breaks = terms.pop("breaks", ())
    tiers = (PriceTier(1, price_cents), *(PriceTier(*each) for each in breaks))  # type: ignore[attr-defined]
    return Offer(supplier, part, tiers, **terms)  # type: ignore[arg-type]


def supply(stock: list[StockLine], offers: list[Offer], *suppliers: Supplier) -> Supply:
    numbers = {line.part for line in stock} | {each.part for each in offers}
    return Supply(
        parts={number: Part(number, Kind.BASE_GASKET, thickness_mm=0.5) for number in numbers},
        stock={line.part: line for line in stock},
        offers=tuple(offers),
        suppliers={each.name: each for each in suppliers},
    )


def used(part: str, *days_ago: int, quantity: int = 1) -> list[Usage]:
    return [Usage(part, TODAY - timedelta(days), quantity) for days in days_ago]
