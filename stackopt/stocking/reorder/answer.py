"""What to reorder: needs, points and the joint order brought together, a line for every part."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from datetime import date

from stackopt.choose.choice_records import Request, Status
from stackopt.choose.solve.plan import plan
from stackopt.parts.part_records import Supply, Usage
from stackopt.stocking.demand.leads import Delivery, lateness
from stackopt.stocking.demand.service import service_reached
from stackopt.stocking.reorder.admitted import Market
from stackopt.stocking.reorder.asks import blocked_asks, special_order_asks, unlisted_asks
from stackopt.stocking.reorder.joint import Joint, joint_orders
from stackopt.stocking.reorder.needs import engine_needs
from stackopt.stocking.reorder.points import reorder_points
from stackopt.stocking.reorder.restock_records import PartLine, Policy, Restock
from stackopt.stocking.reorder.slower import slower_words
from stackopt.stocking.reorder.standing import idle, runs_out
from stackopt.stocking.reorder.succession import needs_under_newest, newest_numbers, pieces_under_newest
from stackopt.stocking.reorder.usual import shelf_sources
from stackopt.stocking.reorder.wants import Want, wants
from stackopt.stocking.reorder.why import filler_pieces, quantity_words, rule_words

DEFAULT_POLICY = Policy()


def restock(
    request: Request,
    supply: Supply,
    usage: Iterable[Usage] = (),
    policy: Policy = DEFAULT_POLICY,
    deliveries: Iterable[Delivery] = (),
) -> Restock:
    """Join what open engines lack, what is at its reorder point, and what is worth taking along, into orders.

    Parameters
    ----------
    request
        The open engines, today, and what is preferred when they are planned.
    supply
        Parts, shelf, what is under way, and offers.
    usage
        What left the shelf, from which demand is counted.
    policy
        The shop's service level and costs.
    deliveries
        How long earlier orders took, and how long open ones have been waited for.

    Raises
    ------
    InputError
        When an objective's name in the request is not known.
    """
    choice = plan(request, supply)
    newest = newest_numbers(supply)
    past_orders = tuple(deliveries)
    market = Market(shelf_sources(supply), supply, policy, lateness(past_orders))
    points = reorder_points(supply, usage, request.today, policy, market.late)
    asked = {part: point.service_level for part, point in points.items() if point.kept and point.service_level}
    wanted = wants(
        points,
        needs_under_newest(engine_needs(choice, supply, request), newest),
        pieces_under_newest({part: supply.free(part) for part in supply.stock}, newest),
        pieces_under_newest(supply.pieces_under_way, newest),
    )
    patience = request.patience.quietly()
    joint = joint_orders(wanted, market, patience)
    blocked = frozenset(engine.engine for engine in choice.blocked)
    stuck = [engine for engine in request.engines if engine.name in blocked]
    return Restock(
        parts=tuple(sorted(_lines(wanted, joint, newest, market, request.today), key=_urgency)),
        orders=joint.orders,
        asks=(
            *blocked_asks(request, supply, stuck),
            *unlisted_asks(wanted.values(), supply),
            *special_order_asks(wanted, joint.orders, supply),
        ),
        service=tuple(service_reached(past_orders, asked, newest)),
        review_days=policy.review_days,
        slower=() if patience.over else slower_words(joint, wanted, market, patience),
        blocked=tuple(engine.name for engine in stuck),
        status=joint.status if choice.status is Status.PROVEN else choice.status,
        cost_cents=joint.cost_cents,
        bound_cents=joint.bound_cents,
    )


def _lines(
    wanted: Mapping[str, Want], joint: Joint, newest: Mapping[str, str], market: Market, today: date
) -> Iterator[PartLine]:
    supply = market.supply
    old_numbers = {number: old for old, number in newest.items() if supply.free(old)}
    for part, want in wanted.items():
        rule = rule_words(want, joint, supply, old_numbers.get(part, ""))
        yield _line(want, joint, market, rule, today)
    for old in newest.keys() & supply.stock.keys():
        rule = f"superseded by {newest[old]}: counted and ordered under that number"
        yield PartLine(old, supply.free(old), 0, 0, 0, 0, 0, rule)


def _line(want: Want, joint: Joint, market: Market, rule: str, today: date) -> PartLine:
    point, lying = want.point, idle(want, market.supply, market.policy)
    return PartLine(
        part=want.part,
        free=want.free,
        needed=want.need.pieces,
        on_order=want.on_order,
        reorder_point=point.reorder_point,
        order_up_to=point.order_up_to,
        order_quantity=joint.pieces(want.part),
        rule=rule,
        waits=want.part in joint.waiting,
        drop=point.drop,
        quantity_rule=quantity_words(want, joint, market.supply),
        runs_out=runs_out(want, today),
        engines=want.need.engines,
        lacking=want.lacking,
        filler_pieces=filler_pieces(want, joint, market.supply),
        idle_pieces=lying.pieces,
        idle_cents=lying.cents,
        idle_rule=lying.rule,
        model="" if point.demand is None else str(point.demand.model),
        demand_per_year=None if point.demand is None else point.demand.pieces_per_year,
    )


def _urgency(line: PartLine) -> tuple[bool, date, bool, str]:
    """Order lines by the day they run out, those that an engine waits for first; of the last nobody can tell."""
    return (line.runs_out is None, line.runs_out or date.max, not line.lacking, line.part)
