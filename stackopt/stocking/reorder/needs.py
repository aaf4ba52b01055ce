"""What open engines take of each part, read from the plan made for them."""

from __future__ import annotations

import math
from collections import Counter, defaultdict
from collections.abc import Iterator, Mapping

from stackopt.choose.choice_records import SHELF, Choice, OrderLine, Request
from stackopt.parts.part_records import Supply
from stackopt.parts.sources import days_until
from stackopt.stocking.reorder.restock_records import Buy, Need


def engine_needs(choice: Choice, supply: Supply, request: Request) -> dict[str, Need]:
    """Return what open engines take of every part and kit that the plan uses, opens or buys.

    A line that comes later than the plan's own will do where the due dates allow; not where the request prefers that
    engines wait little.
    """
    lines = [line for order in choice.orders for line in order.lines]
    pieces = _pieces(choice, lines, supply)
    from_kits = _from_kits(choice, lines, supply)
    bought = _bought(choice, lines, supply)
    buys = bought if "wait" in request.prefer else _by_due(choice, request, supply, bought)
    engines = _engines(choice)
    # What the plan fills an order up with is needed by nobody, and may fill this order too.
    fillers = {line.offer.part for line in lines if line.filler_packs}
    return {
        part: Need(pieces[part], tuple(engines.get(part, ())), from_kits[part], tuple(buys.get(part, ())))
        for part in sorted(pieces.keys() | from_kits.keys() | fillers)
    }


def _pieces(choice: Choice, lines: list[OrderLine], supply: Supply) -> Counter[str]:
    """Count what is used of every part; of a kit, how many are opened from the shelf or bought."""
    pieces = Counter[str]()
    for use in choice.use:
        pieces[use.part] += use.quantity
    for line in lines:
        if line.offer.part in supply.kits:
            pieces[line.offer.part] += _packs_for_engines(line) * line.offer.pack
    return pieces


def _from_kits(choice: Choice, lines: list[OrderLine], supply: Supply) -> Counter[str]:
    kits = Counter[str]()
    for use in choice.use:
        if use.part in supply.kits and use.source == SHELF:
            kits[use.part] += use.quantity
    for line in lines:
        if line.offer.part in supply.kits:
            kits[line.offer.part] += _packs_for_engines(line) * line.offer.pack
    brought = Counter[str]()
    for kit, count in kits.items():
        for part, quantity in supply.kits[kit].contents.items():
            brought[part] += count * quantity
    return brought


def _bought(choice: Choice, lines: list[OrderLine], supply: Supply) -> dict[str, list[Buy]]:
    """Say how many pieces of each part the plan buys for use, by lead time; of kits, all that it buys."""
    used = {(use.part, use.source): use.quantity for use in choice.use}
    buys: dict[str, list[Buy]] = defaultdict(list)
    for line in sorted(lines, key=lambda line: line.offer.lead_days):
        offer, pieces = line.offer, _packs_for_engines(line) * line.offer.pack
        if offer.part not in supply.kits:
            wanted = used.get((offer.part, offer.supplier), 0)
            pieces = min(pieces, wanted)
            used[offer.part, offer.supplier] = wanted - pieces
        if pieces:
            buys[offer.part].append(Buy(pieces, offer.lead_days, offer.special_order))
    return buys


def _packs_for_engines(line: OrderLine) -> int:
    """Return the packs that engines need; what the plan buys to fill an order is decided anew with all that is due."""
    return line.packs - line.filler_packs


def _by_due(choice: Choice, request: Request, supply: Supply, bought: Mapping[str, list[Buy]]) -> dict[str, list[Buy]]:
    """Give every piece bought as long as the due dates allow: what the shelf has goes to the engines due first."""
    within = {engine.name: days_until(engine.due, request.today) for engine in request.engines}
    asked: dict[str, Counter[float]] = defaultdict(Counter)
    for (engine, part), times in Counter(_parts_of_engines(choice)).items():
        # A piece that covers several cylinders stands with each of them.
        asked[part][within[engine]] += math.ceil(times / supply.parts[part].covers)
    return {part: list(_spread(own, asked[part])) if asked[part] else own for part, own in bought.items()}


def _spread(bought: list[Buy], asked: Mapping[float, int]) -> Iterator[Buy]:
    there = sum(asked.values()) - sum(buy.pieces for buy in bought)
    special_order = any(buy.special_order for buy in bought)
    for days in sorted(asked):
        pieces = asked[days] - there
        there = max(0, there - asked[days])
        if pieces > 0:
            yield Buy(pieces, days, special_order)


def _engines(choice: Choice) -> Mapping[str, list[str]]:
    engines: dict[str, list[str]] = defaultdict(list)
    for engine, part in _parts_of_engines(choice):
        if engine not in engines[part]:
            engines[part].append(engine)
    return engines


def _parts_of_engines(choice: Choice) -> Iterator[tuple[str, str]]:
    for engine in choice.engines:
        for cylinder in engine.cylinders:
            for piece in cylinder.pieces:
                yield engine.engine, piece.part
