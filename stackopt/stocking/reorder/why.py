"""Why each part is ordered or not, in words with its numbers."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

from stackopt.choose.choice_records import Order, OrderLine
from stackopt.parts.part_records import Supply
from stackopt.stocking.reorder.joint import Joint
from stackopt.stocking.reorder.wants import Want
from stackopt.stocking.reorder.words import listed
from stackopt.units import money


def rule_words(want: Want, joint: Joint, supply: Supply, old_number: str) -> str:
    """Say what there is, what is needed by whom, how the point was found, and what follows.

    `old_number` is the number under which some of the free pieces lie; empty where there is none.
    """
    return ", ".join([*_shelf_words(want, supply, old_number), want.point.rule, *_outcome_words(want, joint, supply)])


def _shelf_words(want: Want, supply: Supply, old_number: str) -> Iterator[str]:
    as_old = f" ({supply.free(old_number)} of them under the old number {old_number})" if old_number else ""
    yield f"{want.free} free{as_old}"
    if want.on_order:
        yield f"{want.on_order} on order"
    if want.need.pieces:
        yield (
            f"{want.need.pieces} needed by {listed(want.need.engines)}"
            if want.need.engines
            else (f"{want.need.pieces} opened or bought for open engines")
        )
    if want.need.from_kits:
        yield f"{want.need.from_kits} out of kits"


def _outcome_words(want: Want, joint: Joint, supply: Supply) -> Iterator[str]:
    lines = joint.lines(want.part)
    if want.part in joint.waiting:
        yield f"due, but left for another day: {_minimum_words(want, supply)}"
    if want.due and want.point.lot is None:
        yield "due, but nobody lists it"
    if lines and not want.least:
        yield f"not due yet, taken along {_along_words(lines[0][0], joint, supply)}"


def quantity_words(want: Want, joint: Joint, supply: Supply) -> str:
    """Say why so many pieces are bought: level, pack, minimum, price break, lot; empty where none are."""
    lines = joint.lines(want.part)
    if not lines:
        return ""
    words = [_needed_words(want)] if want.least else []
    words += [said for _, line in lines for said in _pack_words(line)]
    beyond = joint.pieces(want.part) - _rounded_up(want.least, lines)
    if beyond > 0:
        words.append(_beyond_words(beyond, want, joint, supply))
    return ", ".join(words)


def _beyond_words(beyond: int, want: Want, joint: Joint, supply: Supply) -> str:
    order, line = joint.lines(want.part)[0]
    price_cents = line.offer.price_cents(line.packs)
    starts = [tier.from_packs for tier in line.offer.tiers if tier.price_cents == price_cents and tier.from_packs > 1]
    more = f"{beyond} more" if want.least else str(beyond)
    if starts:
        before = money(line.offer.tiers[0].price_cents)
        return f"{more} since a pack costs {money(price_cents)} from {starts[0]} on, {before} below"
    if want.point.lot is not None and joint.pieces(want.part) <= want.room:
        return f"{more} since lots of {want.point.lot.pieces} cost least in the long run"
    return f"{more} {_along_words(order, joint, supply)}"


def _needed_words(want: Want) -> str:
    if want.due:
        return f"{want.least} to reach {want.point.order_up_to}"
    return f"{want.least} lacking for {listed(want.need.engines) or 'open engines'}"


def _pack_words(line: OrderLine) -> Iterator[str]:
    offer = line.offer
    if offer.pack > 1:
        yield f"pack of {offer.pack}"
    if line.packs == offer.minimum_packs > 1:
        yield f"no fewer than {offer.minimum_packs} packs are sold"


def _rounded_up(pieces: int, lines: Sequence[tuple[Order, OrderLine]]) -> int:
    """Return the fewest pieces that whole packs bring, and the least that is sold."""
    offer = min((line.offer for _, line in lines), key=lambda each: each.pack)
    least = offer.minimum_packs if pieces else 0
    return max(least, math.ceil(pieces / offer.pack)) * offer.pack


def filler_pieces(want: Want, joint: Joint, supply: Supply) -> int:
    """Return the pieces that are bought only to reach a minimum order or free freight.

    All of a part that is not due, else those beyond all room for it.
    """
    lines = joint.lines(want.part)
    if not any(_reached_threshold(order, joint, supply) for order, _ in lines):
        return 0
    wanted = _rounded_up(max(want.room, want.least), lines) if want.least else 0
    return max(0, joint.pieces(want.part) - wanted)


def _reached_threshold(order: Order, joint: Joint, supply: Supply) -> bool:
    """Tell whether an order reaches a threshold that the parts due alone do not reach."""
    terms, due_cents = supply.supplier(order.supplier), _due_cents(order, joint)
    over = terms.free_freight_over_cents
    waived = terms.freight_cents > 0 and over is not None and due_cents < over and order.freight_cents == 0
    return due_cents < terms.minimum_order_cents or waived


def _due_cents(order: Order, joint: Joint) -> int:
    return sum(line.line_cents for line in order.lines if line.offer.part in joint.forced)


def _minimum_words(want: Want, supply: Supply) -> str:
    assert want.point.lot is not None
    terms = supply.supplier(want.point.lot.offer.supplier)
    return f"to reach the minimum order of {money(terms.minimum_order_cents)} at {terms.name} would waste more"


def _along_words(order: Order, joint: Joint, supply: Supply) -> str:
    terms = supply.supplier(order.supplier)
    due_cents = _due_cents(order, joint)
    if due_cents < terms.minimum_order_cents:
        return f"to reach the minimum order of {money(terms.minimum_order_cents)} at {terms.name}"
    over = terms.free_freight_over_cents
    if terms.freight_cents and over is not None and due_cents < over and order.freight_cents == 0:
        return f"since from {money(over)} on {terms.name} sends it free of freight"
    return f"since {terms.name} is ordered from anyway"
