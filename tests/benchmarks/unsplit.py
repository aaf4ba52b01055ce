"""The plan of a whole shop as one model in bare lists of rows and columns: no PuLP, none of the program's own model.

It states what made-up shops hold: own gaskets for each cylinder, kits, price tiers, packs, freight, thresholds, due
dates. The stacks of a cylinder are those that `make_jobs` finds. It is both a yardstick for the program's speed and a
second statement to check its answers against.
"""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass, field

from stackopt.choose.model.program import Job
from stackopt.parts.part_records import Supplier, Supply
from stackopt.parts.sources import Source

Terms = list[tuple[int, float]]
STEPS = {"blocked": 1.0, "special-orders": 1.0, "spend": 1.0, "closeness": 1e-6, "shelf-value": 1.0}


@dataclass(slots=True)
class Bare:
    """Columns are whole numbers from 0 to `most`; rows are (least, terms, most); `costs` are terms by objective."""

    most: list[int] = field(default_factory=list)
    rows: list[tuple[float, Terms, float]] = field(default_factory=list)
    costs: dict[str, Terms] = field(default_factory=lambda: {name: [] for name in STEPS})

    def column(self, most: int, **costs: float) -> int:
        """Add a column with its part in some objectives."""
        self.most.append(most)
        number = len(self.most) - 1
        for name, cost in costs.items():
            if cost:
                self.costs[name.replace("_", "-")].append((number, cost))
        return number

    def at_most(self, terms: Terms, most: float) -> None:
        """Add a row."""
        self.rows.append((-math.inf, terms, most))


def state_whole_shop(jobs: Sequence[Job], supply: Supply, sources: Sequence[Source]) -> Bare:
    """State everything as one model."""
    bare = Bare()
    used: dict[str, dict[float, Terms]] = defaultdict(lambda: defaultdict(list))
    need: dict[str, int] = defaultdict(int)
    for job in jobs:
        _state_job(bare, job, used, need)
    brought = _state_shelf(bare, supply, need)
    by_supplier: dict[str, list[Source]] = defaultdict(list)
    for source in sources:
        if any(part in need for part in source.pieces_per_pack):
            by_supplier[source.offer.supplier].append(source)
    for name, lines in by_supplier.items():
        _state_supplier(bare, supply.supplier(name), lines, need, brought)
    for part, by_days in used.items():
        so_far: Terms = []
        for days in sorted(by_days):
            so_far = so_far + by_days[days]
            arrived = [(column, -pieces) for column, pieces, lead in brought[part] if lead <= days]
            bare.at_most(so_far + arrived, 0 if supply.unit_cost_cents(part) > 0 else supply.free(part))
    return bare


def _state_job(bare: Bare, job: Job, used: dict[str, dict[float, Terms]], need: dict[str, int]) -> None:
    blocked = bare.column(1, blocked=job.engine.priority)
    for stacks in job.stacks:
        columns = [bare.column(1, closeness=stack.closeness) for stack in stacks]
        bare.rows.append((1, [(blocked, 1), *((column, 1) for column in columns)], 1))
        for stack, column in zip(stacks, columns, strict=True):
            for part, quantity in stack.uses:
                used[part][job.days].append((column, quantity))
        for part in {part for stack in stacks for part, _ in stack.uses}:
            need[part] += max(quantity for stack in stacks for own, quantity in stack.uses if own == part)


Brought = dict[str, list[tuple[int, int, float]]]


def _state_shelf(bare: Bare, supply: Supply, need: dict[str, int]) -> Brought:
    """State what the shelf and its kits bring; return by part the columns that bring it, pieces, days."""
    brought: Brought = defaultdict(list)
    for number, kit in supply.kits.items():
        wanted = max(math.ceil(need[part] / quantity) for part, quantity in kit.contents.items())
        if min(wanted, supply.free(number)) > 0:
            opened = bare.column(min(wanted, supply.free(number)), shelf_value=supply.unit_cost_cents(number))
            for part, quantity in kit.contents.items():
                brought[part].append((opened, quantity, -math.inf))
    for part in need:
        cost = supply.unit_cost_cents(part)
        if cost > 0 and supply.free(part) > 0:
            brought[part].append((bare.column(supply.free(part), shelf_value=cost), 1, -math.inf))
    return brought


def _state_supplier(
    bare: Bare, terms: Supplier, lines: Sequence[Source], need: dict[str, int], brought: Brought
) -> None:
    ordered = bare.column(1, spend=terms.freight_cents)
    total: Terms = []
    for source in lines:
        total += _state_line(bare, source, ordered, _most_packs(source, need, terms), brought)
    if terms.minimum_order_cents:
        bare.at_most([(ordered, terms.minimum_order_cents), *((column, -cents) for column, cents in total)], 0)
    if terms.free_freight_over_cents is not None:
        waived = bare.column(1, spend=-terms.freight_cents)
        bare.at_most([(waived, terms.free_freight_over_cents), *((column, -cents) for column, cents in total)], 0)
        bare.at_most([(waived, 1), (ordered, -1)], 0)


def _most_packs(source: Source, need: dict[str, int], terms: Supplier) -> int:
    """Return packs enough for the need, for the minimum, for the last price tier and for the supplier's thresholds."""
    offer = source.offer
    wanted = max(math.ceil(need.get(part, 0) / pieces) for part, pieces in source.pieces_per_pack.items())
    threshold_cents = max(terms.minimum_order_cents, terms.free_freight_over_cents or 0)
    lift = math.ceil(threshold_cents / min(tier.price_cents for tier in offer.tiers))
    return max(wanted, offer.minimum_packs, offer.tiers[-1].from_packs, lift)


def _state_line(bare: Bare, source: Source, ordered: int, most: int, brought: Brought) -> Terms:
    """State one purchase line, tier by tier; return its price as terms."""
    offer = source.offer
    ends = [tier.from_packs - 1 for tier in offer.tiers[1:]] + [most]
    price: Terms = []
    choices: Terms = []
    for tier, end in zip(offer.tiers, ends, strict=True):
        fewest, last = max(tier.from_packs, offer.minimum_packs), min(end, most)
        if fewest > last:
            continue
        packs, chosen = bare.column(last, spend=tier.price_cents), bare.column(1, special_orders=offer.special_order)
        bare.at_most([(packs, 1), (chosen, -last)], 0)
        bare.at_most([(chosen, fewest), (packs, -1)], 0)
        bare.at_most([(chosen, 1), (ordered, -1)], 0)
        choices.append((chosen, 1))
        price.append((packs, tier.price_cents))
        for part, pieces in source.pieces_per_pack.items():
            brought[part].append((packs, pieces, offer.lead_days))
    if len(choices) > 1:
        bare.at_most(choices, 1)
    return price
