"""Why each part is ordered or not, in words with its numbers."""

from __future__ import annotations

from collections.abc import Iterator

from stackopt.choose.records import Order
from stackopt.parts.records import Supply
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
    lines = [(order, line) for order in joint.orders for line in order.lines if line.offer.part == want.part]
    if want.part in joint.waiting:
        yield f"due, but left for another day: {_minimum_words(want, supply)}"
    if want.due and want.point.lot is None:
        yield "due, but nobody lists it"
    if lines and not want.least:
        yield f"not due yet, taken along {_along_words(lines[0][0], joint, supply)}"
    packs = {line.offer.pack for _, line in lines if line.offer.pack > 1}
    for pack in sorted(packs):
        yield f"pack of {pack}"


def _minimum_words(want: Want, supply: Supply) -> str:
    assert want.point.lot is not None
    terms = supply.supplier(want.point.lot.offer.supplier)
    return f"to reach the minimum order of {money(terms.minimum_order_cents)} at {terms.name} would waste more"


def _along_words(order: Order, joint: Joint, supply: Supply) -> str:
    terms = supply.supplier(order.supplier)
    due_cents = sum(line.line_cents for line in order.lines if line.offer.part in joint.forced)
    if due_cents < terms.minimum_order_cents:
        return f"to reach the minimum order of {money(terms.minimum_order_cents)} at {terms.name}"
    over = terms.free_freight_over_cents
    if terms.freight_cents and over is not None and due_cents < over and order.freight_cents == 0:
        return f"since from {money(over)} on {terms.name} sends it free of freight"
    return f"since {terms.name} is ordered from anyway"
