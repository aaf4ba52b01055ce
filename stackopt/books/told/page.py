"""What was read, for people: the first rows, totals, least and greatest, and what looks odd."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from statistics import median
from typing import TypeVar

from stackopt.books.facts.book_records import Books
from stackopt.books.facts.describe import KINDS_WITH_THICKNESS
from stackopt.parts.part_records import Offer, Part, StockLine, Supplier
from stackopt.units import LENGTH_UNITS, inches, money

T = TypeVar("T", int, float)
FIRST_ROWS = 3
# So many times the middle one, or so many times less, is worth a look.
FAR = 5


def summary(books: Books) -> list[str]:
    """Return in lines what a person compares with the list in his hand."""
    return [*_stock_lines(books), *_offer_lines(books), *(f"Looks odd: {odd}" for odd in looks_odd(books))]


def _stock_lines(books: Books) -> Iterator[str]:
    shelved = [(books.parts[number], line) for number, line in books.stock.items()]
    inch = _listed_in_inches(books)
    for part, line in shelved[:FIRST_ROWS]:
        yield f"First rows: {_shelved(part, line, part.number in inch)}"
    if shelved:
        pieces = sum(line.on_hand for _, line in shelved)
        worth = sum(line.on_hand * line.unit_cost_cents for _, line in shelved)
        parts = "1 part" if len(shelved) == 1 else f"{len(shelved)} parts"
        held = "1 piece" if pieces == 1 else f"{pieces} pieces"
        yield f"Stock: {parts}, {held} on hand{f', worth {money(worth)}' if worth else ''}"
        yield from _least_and_greatest(shelved, inch)


def _listed_in_inches(books: Books) -> set[str]:
    """Return the parts whose stock list has its thicknesses in inches or thousandths of them."""
    units = {row.line.part: row.spot.table.units.get("thickness", "") for row in books.stock_rows}
    return {
        part for part, unit in units.items() if unit in LENGTH_UNITS and LENGTH_UNITS[unit] % LENGTH_UNITS["thou"] == 0
    }


def _shelved(part: Part, line: StockLine, in_inches: bool) -> str:
    place = f", bin {line.bin}" if line.bin else ""
    thickness = f", {_length(part.thickness_mm, in_inches)}" if part.kind in KINDS_WITH_THICKNESS else ""
    families = ";".join(sorted(part.families))
    return f"{part.number}, {part.kind}, fits {families}{thickness}, {line.on_hand} on hand{place}"


def _length(length_mm: float, in_inches: bool = False) -> str:
    """Write a length in the user's unit, and in the other behind it."""
    millimetres = f"{length_mm:.4g} mm"
    return f"{inches(length_mm)} ({millimetres})" if in_inches else f"{millimetres} ({inches(length_mm)})"


def _least_and_greatest(shelved: Sequence[tuple[Part, StockLine]], inch: set[str]) -> Iterator[str]:
    """Yield the least and the greatest of each measure, each with its part."""
    thick = [(part.thickness_mm, part.number) for part, _ in shelved if part.kind in KINDS_WITH_THICKNESS]
    wide = [(part.opening_mm, part.number) for part, _ in shelved if part.opening_mm is not None]
    counts = [(line.on_hand, line.part) for _, line in shelved]
    costs = [(line.unit_cost_cents, line.part) for _, line in shelved if line.unit_cost_cents]
    is_inch = bool(inch)
    yield from _ends("Thickness", thick, lambda length: _length(length, is_inch))
    yield from _ends("Opening", wide, lambda length: _length(length, is_inch))
    yield from _ends("On hand", counts, str)
    yield from _ends("Unit cost", costs, money)


def _ends(what: str, values: Sequence[tuple[T, str]], shown: Callable[[T], str]) -> Iterator[str]:
    if values:
        (least, least_part), (greatest, greatest_part) = min(values), max(values)
        yield f"{what}: {shown(least)} of {least_part} to {shown(greatest)} of {greatest_part}"


def _offer_lines(books: Books) -> Iterator[str]:
    offers = books.supply.offers
    for offer in offers[:FIRST_ROWS]:
        yield f"First prices: {_offered(offer)}"
    if offers:
        prices = sorted(offers, key=lambda offer: offer.tiers[0].price_cents)
        least, greatest = prices[0], prices[-1]
        suppliers = sorted({offer.supplier for offer in offers})
        yield f"Offers: {len(offers)} lines of {', '.join(suppliers)}"
        yield (
            f"Price of a pack: {money(least.tiers[0].price_cents)} for {least.part} to "
            f"{money(greatest.tiers[0].price_cents)} for {greatest.part}"
        )
    for supplier in books.supply.suppliers.values():
        yield f"Terms of {supplier.name}: {_terms(supplier)}"


def _terms(supplier: Supplier) -> str:
    freight = f"freight {money(supplier.freight_cents)} an order"
    over, least = supplier.free_freight_over_cents, supplier.minimum_order_cents
    free = "" if over is None else f", none from {money(over)} on"
    return f"{freight}{free}, {f'at least {money(least)}' if least else 'no minimum'} an order"


def _offered(offer: Offer) -> str:
    return (
        f"{offer.part} of {offer.supplier}, {money(offer.tiers[0].price_cents)} a pack of {offer.pack}, "
        f"{offer.lead_days} days"
    )


def looks_odd(books: Books) -> list[str]:
    """Return what contradicts itself, fits no engine of the books, or lies far from the others."""
    odd = [text for line in books.stock.values() for text in _contradictions(line)]
    counts = [line.on_hand for line in books.stock.values() if line.on_hand]
    odd += [
        f"{line.part} has {line.on_hand} on hand, where the others have about {median(counts):g}"
        for line in books.stock.values()
        if len(counts) > 2 and line.on_hand > 10 * FAR * median(counts)
    ]
    thick = [part for part in books.parts.values() if part.kind in KINDS_WITH_THICKNESS]
    for kind in KINDS_WITH_THICKNESS:
        odd += _far_off([part for part in thick if part.kind is kind])
    families = {engine.family for engine in books.engines}
    if families:
        odd += [
            f"{part.number} fits {';'.join(sorted(part.families))}, and no engine of these books"
            for part in thick
            if not any(map(part.fits_family, families))
        ]
    return odd


def _contradictions(line: StockLine) -> Iterator[str]:
    if line.minimum is not None and line.maximum is not None and line.minimum > line.maximum:
        yield f"{line.part} has a minimum of {line.minimum} above its maximum of {line.maximum}"
    if line.reserved > line.on_hand:
        yield f"{line.part} has {line.reserved} reserved, and only {line.on_hand} on hand"


def _far_off(parts: Sequence[Part]) -> list[str]:
    if len(parts) < 3:
        return []
    middle = median(part.thickness_mm for part in parts)
    return [
        f"{part.number} is {_length(part.thickness_mm)} thick, where others of its kind have about {_length(middle)}"
        for part in parts
        if not middle / FAR <= part.thickness_mm <= middle * FAR
    ]
