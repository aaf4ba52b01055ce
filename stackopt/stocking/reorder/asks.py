"""What to ask suppliers about: parts that cannot be ordered by a number as they stand."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping

from stackopt.choose.choice_records import Order, Request
from stackopt.choose.why.blocked import WouldDo, blocked_cylinders
from stackopt.engine.engine_records import Engine
from stackopt.parts.part_records import Kind, Part, Supply
from stackopt.stocking.reorder.restock_records import Ask
from stackopt.stocking.reorder.wants import Want
from stackopt.stocking.reorder.words import listed


def blocked_asks(request: Request, supply: Supply, engines: Iterable[Engine]) -> Iterator[Ask]:
    """Yield the head gasket that would do for each cylinder of these engines that nothing fits.

    Of the base pieces at hand those on the shelf go first, then those that leave the widest range.
    """
    for engine in engines:
        for blocked in blocked_cylinders(request, supply, engine):
            ways = [way for way in blocked.would_do if way.thickness_mm is not None]
            if not ways:
                continue
            way = max(ways, key=lambda each: (_on_shelf(each, supply), _width_mm(each)))
            too_late = sorted({offer.supplier for listing in way.listings for offer in listing.offers})
            late = f"; {listed(too_late)} lists one, too late or no longer" if too_late else ""
            yield Ask(
                kind=Kind.HEAD_GASKET,
                families=(engine.family,),
                thickness_mm=way.thickness_mm,
                opening_mm=way.opening_mm,
                quantity=1,
                purpose=f"{engine.name}, {blocked.cylinder}, above {' and '.join(way.base)}{late}",
            )


def _on_shelf(way: WouldDo, supply: Supply) -> bool:
    return all(supply.free(part) > 0 for part in way.base)


def _width_mm(way: WouldDo) -> float:
    return 0.0 if way.thickness_mm is None else way.thickness_mm[1] - way.thickness_mm[0]


def unlisted_asks(wants: Iterable[Want], supply: Supply) -> Iterator[Ask]:
    """Yield the parts that are due and that nobody lists."""
    for want in wants:
        if want.due and want.point.lot is None and want.part in supply.parts:
            yield _ask_for(supply.parts[want.part], want.least, f"the shelf: {want.part} is due and nobody lists it")


def special_order_asks(wants: Mapping[str, Want], orders: Iterable[Order], supply: Supply) -> Iterator[Ask]:
    """Yield the lines of orders that a supplier makes or fetches on request."""
    for order in orders:
        for line in order.lines:
            if line.offer.special_order and line.offer.part in supply.parts:
                engines = wants[line.offer.part].need.engines
                purpose = f"{listed(engines) or 'the shelf'}: {line.offer.part}, special order at {order.supplier}"
                yield _ask_for(supply.parts[line.offer.part], line.packs * line.offer.pack, purpose)


def _ask_for(part: Part, quantity: int, purpose: str) -> Ask:
    thickness_mm = (part.thickness_mm, part.thickness_mm) if part.thickness_mm else None
    return Ask(part.kind, tuple(sorted(part.families)), thickness_mm, part.opening_mm, quantity, purpose)
