"""The best choice of a small situation by trying everything: written apart from the model, from the trade's formulas.

It knows nothing of seats, rows or passes: it tries every set of purchases, every opened kit and every combination of
pieces, and keeps the lexicographically best vector of objectives.
"""

from __future__ import annotations

import cmath
import itertools
import math
from collections import Counter, defaultdict
from collections.abc import Callable, Iterator

from msgspec.structs import replace

from stackopt.choose.choice_records import Request
from stackopt.engine.engine_records import Cylinder, Engine
from stackopt.parts.part_records import Kind, Offer, Part, Supply

MOST_PACKS = 8
SLACK = 1e-9
Vector = dict[str, float]


def best_vector(request: Request, supply: Supply, order: tuple[str, ...]) -> Vector:
    """Return the value of every objective in the best choice; `order` lists them, blocked first."""
    best: list[Vector] = []
    for vector in every_vector(request, supply, "wait" in order, lambda: best[0]["blocked"] if best else math.inf):
        if not best or _before(vector, best[0], order):
            best[:] = [vector]
    return best[0]


def every_vector(
    request: Request, supply: Supply, waiting: bool = False, most_blocked: Callable[[], float] = lambda: math.inf
) -> Iterator[Vector]:
    """Yield the value of every objective in every choice there is that blocks no more than asked for."""
    assignments = list(_assignments(request, supply))
    usable = {part for engine in request.engines for part in usable_parts(engine, request, supply)}
    for purchase in _purchases(supply, usable):
        for opened in _openings(supply):
            fixed = _cost_vector(purchase, opened, supply)
            pieces = _pieces(purchase, opened, supply)
            for blocked, (closeness, missing), per_engine in assignments:
                if blocked > most_blocked():
                    continue
                for wait, needs in _deadlines(per_engine, pieces, waiting):
                    shelf_cents = _shelf_cents(needs, pieces, supply)
                    if shelf_cents is None:
                        continue
                    vector = fixed | {"blocked": blocked, "closeness": closeness, "chance": missing, "wait": wait}
                    yield vector | {"shelf-value": shelf_cents + fixed["kits"]}


def _before(one: Vector, other: Vector, order: tuple[str, ...]) -> bool:
    for name in order:
        if abs(one[name] - other[name]) > 1e-7:
            return one[name] < other[name]
    return False


def _deadlines(
    per_engine: list[tuple[float, Counter[str]]], pieces: dict[str, list[float]], waiting: bool
) -> Iterator[tuple[float, dict[str, list[float]]]]:
    """Yield days waited in all and, for each part, the day by which each needed piece must be here.

    Where waiting counts, every combination of days on which engines could have the last of their parts is tried.
    """
    arrivals = {0.0} | {day for days in pieces.values() for day in days if day > 0}
    choices = [
        sorted(day for day in arrivals if day == 0 or day <= days) if waiting and counted else [days]
        for days, counted in per_engine
    ]
    for combination in itertools.product(*choices):
        needs: dict[str, list[float]] = defaultdict(list)
        wait = 0.0
        for day, (days, counted) in zip(combination, per_engine, strict=True):
            wait += day if waiting and counted else 0
            for part, quantity in counted.items():
                needs[part] += [min(day, days)] * quantity
        yield wait, needs


def _assignments(
    request: Request, supply: Supply
) -> Iterator[tuple[int, tuple[float, float], list[tuple[float, Counter[str]]]]]:
    """Yield priorities blocked, closeness and chance to miss, and for each engine the days and the pieces it needs."""
    choices = []
    for engine in request.engines:
        days = math.inf if engine.due is None else (engine.due - request.today).days
        options: list[tuple[int, tuple[float, float], Counter[str], float]] = [
            (engine.priority, (0.0, 0.0), Counter(), days)
        ]
        options += [(0, off, needs, days) for off, needs in engine_options(engine, supply)]
        choices.append(options)
    for combination in itertools.product(*choices):
        per_engine = [(days, counted) for _, _, counted, days in combination]
        off = sum(each[1][0] for each in combination), sum(each[1][1] for each in combination)
        yield sum(each[0] for each in combination), off, per_engine


def engine_options(engine: Engine, supply: Supply) -> Iterator[tuple[tuple[float, float], Counter[str]]]:
    """Yield what can go on all cylinders at once: closeness and chance to miss, and the pieces that must be found."""
    per_cylinder = [list(_cylinder_options(engine, cylinder, supply)) for cylinder in engine.cylinders]
    for combination in itertools.product(*per_cylinder):
        shared = [frozenset(p.number for p in pieces if p.covers > 1) for pieces, *_ in combination]
        if len(set(shared)) > 1:
            continue
        quenches = [quench for _, quench, _, _ in combination]
        ratios = [ratio for _, _, ratio, _ in combination]
        limit = engine.match
        if limit.quench_mm is not None and max(quenches) - min(quenches) > limit.quench_mm + SLACK:
            continue
        if limit.compression is not None and max(ratios) - min(ratios) > limit.compression + SLACK:
            continue
        if _port_change_mm(engine, [pieces for pieces, *_ in combination]) > _port_limit_mm(engine) + SLACK:
            continue
        needs: Counter[str] = Counter()
        for cylinder, (pieces, *_) in zip(engine.cylinders, combination, strict=True):
            own = Counter(piece.number for piece in pieces if piece.covers == 1)
            needs += own - Counter(engine.pinned.get(cylinder.name, ()))
        needs += Counter(shared[0] - {number for numbers in engine.pinned.values() for number in numbers})
        cylinders = zip(engine.cylinders, combination, strict=True)
        missing = sum(1 - _chance(cylinder, pieces, quench) for cylinder, (pieces, quench, *_) in cylinders)
        yield (sum(closeness for *_, closeness in combination), missing), needs


def _chance(cylinder: Cylinder, pieces: tuple[Part, ...], quench: float) -> float:
    """Return the chance that a quench off by at most each gasket's tolerance, any amount alike, is in its window.

    0 where no tolerance is listed: nothing is known then.
    """
    wide, narrow = sorted((piece.tolerance_mm for piece in pieces if piece.kind is not Kind.BASE_SHIM), reverse=True)
    if wide == 0:
        return 0.0
    low, high = cylinder.quench.low - SLACK - quench, cylinder.quench.high + SLACK - quench
    return _share_below(high, wide, narrow) - _share_below(low, wide, narrow)


def _share_below(limit: float, wide: float, narrow: float) -> float:
    """Return the share of wide·u + narrow·v at most `limit`, u and v even between −1 and 1: an integral over v."""
    if narrow == 0:
        return min(1.0, max(0.0, (limit + wide) / (2 * wide)))

    def area(x: float) -> float:
        """The integral of min(1, max(0, ·)) from zero to x."""
        return 0.0 if x < 0 else x * x / 2 if x < 1 else x - 0.5

    ends = ((limit + side * narrow + wide) / (2 * wide) for side in (1, -1))
    above, below = map(area, ends)
    return (above - below) * wide / narrow


def _port_limit_mm(engine: Engine) -> float:
    return math.inf if engine.ports is None or engine.ports.limit_mm is None else engine.ports.limit_mm


def _port_change_mm(engine: Engine, stacks: list[tuple[Part, ...]]) -> float:
    """Return how far two ports come apart: far from each other, each moved along its arm of the V."""
    if engine.ports is None:
        return 0.0
    front_mm, rear_mm = (sum(part.thickness_mm for part in pieces) - engine.ports.at_stack_mm for pieces in stacks)
    half = math.radians(engine.ports.included_angle_deg / 2)
    # Across the V is the imaginary axis; of two far points only what they move along their line changes the distance.
    return abs((cmath.rect(front_mm, half) - cmath.rect(rear_mm, -half)).imag)


def _cylinder_options(
    engine: Engine, cylinder: Cylinder, supply: Supply
) -> Iterator[tuple[tuple[Part, ...], float, float, float]]:
    usable = [
        part
        for part in supply.parts.values()
        if ({engine.family, "*"} & part.families)
        and part.covers in (1, len(engine.cylinders))
        and part.position in ("", cylinder.name)
    ]
    fitted = Counter(engine.pinned.get(cylinder.name, ()))
    fitted |= Counter(n for own in engine.pinned.values() for n in own if supply.parts[n].covers > 1)
    bases = [part for part in usable if part.kind is Kind.BASE_GASKET]
    shims = [part for part in usable if part.kind is Kind.BASE_SHIM]
    heads = [part for part in usable if part.kind is Kind.HEAD_GASKET]
    layers = [
        (base, *some) for base in bases for n in range(engine.shims + 1) for some in itertools.product(shims, repeat=n)
    ]
    for layer, head in itertools.product(layers, heads):
        least_mm = 0.0 if head.number in fitted else cylinder.bore_mm + engine.opening_margin_mm - SLACK
        if head.opening_mm is not None and head.opening_mm < least_mm:
            continue
        if not fitted <= Counter(part.number for part in (*layer, head)):
            continue
        base_mm = sum(part.thickness_mm for part in layer)
        quench = cylinder.deck_height_mm + base_mm + head.thickness_mm
        bore_cm2 = math.pi * cylinder.bore_mm**2 / 400
        opening_cm2 = math.pi * (head.opening_mm or cylinder.bore_mm) ** 2 / 400
        clearance = cylinder.chamber_volume_cc - cylinder.piston_volume_cc
        clearance += opening_cm2 * head.thickness_mm / 10 + bore_cm2 * (cylinder.deck_height_mm + base_mm) / 10
        ratio = 1 + bore_cm2 * cylinder.stroke_mm / 10 / clearance
        closeness = _distance(cylinder.quench, quench) + _distance(cylinder.compression, ratio)
        if math.isfinite(closeness):
            yield (*layer, head), quench, ratio, closeness


def _distance(window, value: float) -> float:
    """Return the distance from the aim in half-widths; infinite outside the window."""
    if window is None:
        return 0.0
    if (window.low is not None and value < window.low - SLACK) or (
        window.high is not None and value > window.high + SLACK
    ):
        return math.inf
    if window.aim is None:
        return 0.0
    two_ends = window.low is not None and window.high is not None
    return abs(value - window.aim) / ((window.high - window.low) / 2 if two_ends else 0.5)


def usable_parts(engine: Engine, request: Request, supply: Supply) -> set[str]:
    """Return the parts in any stack that could be here in time; a line that brings none of them is never bought."""
    days = math.inf if engine.due is None else (engine.due - request.today).days
    here = {part for part in supply.parts if supply.free(part)}
    here |= {part for kit in supply.kits.values() if supply.free(kit.number) for part in kit.contents}
    here |= {each.part for each in supply.under_way if each.day and max(0, (each.day - request.today).days) <= days}
    for offer in orderable(supply):
        if offer.lead_days <= days:
            here |= supply.kits[offer.part].contents.keys() if offer.part in supply.kits else {offer.part}
    options = (pieces for cylinder in engine.cylinders for pieces, *_ in _cylinder_options(engine, cylinder, supply))
    numbers = ({piece.number for piece in pieces} for pieces in options)
    fitted = {number for own in engine.pinned.values() for number in own}
    return {number for together in numbers if together <= here | fitted for number in together}


def orderable(supply: Supply) -> Iterator[Offer]:
    """Yield every line that is not discontinued, an old number's under the new one, unless that has a line itself."""
    for offer in supply.offers:
        new = offer.superseded_by
        if offer.discontinued or (new and any((o.supplier, o.part) == (offer.supplier, new) for o in supply.offers)):
            continue
        if not new or new in supply.parts or new in supply.kits:
            yield replace(offer, part=new or offer.part, superseded_by="")


def _purchases(supply: Supply, usable: set[str]) -> Iterator[list[tuple[Offer, int]]]:
    """Yield every purchase that keeps the suppliers' terms: what engines can use, and anything else but on request."""
    offers = [offer for offer in supply.offers if not offer.discontinued and _is_worth_a_look(offer, usable, supply)]
    choices = [[0, *range(offer.minimum_packs, MOST_PACKS + 1)] for offer in offers]
    for packs in itertools.product(*choices):
        bought = [(offer, count) for offer, count in zip(offers, packs, strict=True) if count]
        if all(
            _lines_cents(bought, name) >= supply.suppliers[name].minimum_order_cents
            for name in {offer.supplier for offer, _ in bought}
        ):
            yield bought


def _is_worth_a_look(offer: Offer, usable: set[str], supply: Supply) -> bool:
    brought = supply.kits[offer.part].contents.keys() if offer.part in supply.kits else {offer.part}
    return bool(usable & brought) or not offer.special_order


def _lines_cents(bought: list[tuple[Offer, int]], supplier: str) -> int:
    return sum(_line_cents(offer, count) for offer, count in bought if offer.supplier == supplier)


def _line_cents(offer: Offer, packs: int) -> int:
    price = 0
    for tier in offer.tiers:
        if packs >= tier.from_packs:
            price = tier.price_cents
    return packs * price


def _openings(supply: Supply) -> Iterator[dict[str, int]]:
    kits = [kit for kit in supply.kits if supply.free(kit)]
    for counts in itertools.product(*(range(supply.free(kit) + 1) for kit in kits)):
        yield dict(zip(kits, counts, strict=True))


def _cost_vector(bought: list[tuple[Offer, int]], opened: dict[str, int], supply: Supply) -> Vector:
    names = {offer.supplier for offer, _ in bought}
    spend = 0
    for name in names:
        terms, lines = supply.suppliers[name], _lines_cents(bought, name)
        free = terms.free_freight_over_cents is not None and lines >= terms.free_freight_over_cents
        spend += lines + (0 if free else terms.freight_cents)
    return {
        "special-orders": sum(offer.special_order for offer, _ in bought),
        "orders": len(names),
        "spend": spend,
        "kits": sum(supply.unit_cost_cents(kit) * count for kit, count in opened.items()),
    }


def _pieces(bought: list[tuple[Offer, int]], opened: dict[str, int], supply: Supply) -> dict[str, list[float]]:
    """Return the day that each piece is here, by part, the shelf's own loose pieces left out."""
    pieces: dict[str, list[float]] = defaultdict(list)
    for offer, packs in bought:
        contents = supply.kits[offer.part].contents if offer.part in supply.kits else {offer.part: 1}
        for part, quantity in contents.items():
            pieces[part] += [offer.lead_days] * (quantity * offer.pack * packs)
    for kit, count in opened.items():
        for part, quantity in supply.kits[kit].contents.items():
            pieces[part] += [-math.inf] * (quantity * count)
    return pieces


def _shelf_cents(needs: dict[str, list[float]], pieces: dict[str, list[float]], supply: Supply) -> int | None:
    """Return the least value of loose pieces taken from the shelf; None where the needs cannot be met."""
    total = 0
    for part, days in needs.items():
        for taken in range(supply.free(part) + 1):
            here = sorted([-math.inf] * taken + pieces.get(part, []))
            deadlines = sorted(days)
            if len(here) >= len(deadlines) and _all_in_time(here, deadlines):
                total += taken * supply.unit_cost_cents(part)
                break
        else:
            return None
    return total


def _all_in_time(here: list[float], deadlines: list[float]) -> bool:
    """Tell whether the pieces that come first meet the deadlines in order."""
    return all(arrival <= deadline for arrival, deadline in zip(here, deadlines, strict=False))
