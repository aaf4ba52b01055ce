"""Buying, as linear constraints: packs, price tiers, minimum packs, freight, free freight, minimum order."""

from __future__ import annotations

import re
from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from types import MappingProxyType
from typing import Any

import pulp
from msgspec import Struct, field
from msgspec.structs import replace

from stackopt.choose.choice_records import ON_ORDER, Order, OrderLine
from stackopt.choose.model.fillers import SUM_OF_FILLERS, Fillers
from stackopt.choose.model.packs import most_packs, tier_ends
from stackopt.choose.model.solver import weighted_sum
from stackopt.parts.part_records import PriceTier, Supplier, Supply
from stackopt.parts.sources import Source

NO_FILLERS: Mapping[str, Fillers] = MappingProxyType({})
NO_SUPPLIERS: Mapping[str, int] = MappingProxyType({})
NOTHING_COMES: Mapping[str, Any] = MappingProxyType({})

Terms = list[tuple[pulp.LpVariable, int | float]]


class TierColumns(Struct, frozen=True):
    """One price tier of one line: packs bought at it, and whether it is the tier that applies."""

    source: Source
    tier: PriceTier
    packs: pulp.LpVariable
    chosen: pulp.LpVariable


class SupplierColumns(Struct, frozen=True):
    """Whether a supplier is ordered from, and whether the freight is waived (None where it never is)."""

    supplier: Supplier
    ordered: pulp.LpVariable
    waived: pulp.LpVariable | None


class Coming(Struct, frozen=True):
    """Pieces of a part that are under way or at another branch, the days until they are here, and their source."""

    days: int
    pieces: int
    source: str = ON_ORDER


class BesideTheShelf(Struct, frozen=True):
    """What there is beside the shelf and the lines that engines need: `fillers` by supplier, and by part what comes."""

    fillers: Mapping[str, Fillers] = NO_FILLERS
    coming: Mapping[str, tuple[Coming, ...]] = NOTHING_COMES


NOTHING_BESIDE = BesideTheShelf()


class ComingColumn(Struct, frozen=True):
    """How many are taken of some pieces that are under way or at another branch."""

    days: int
    taken: pulp.LpVariable
    source: str = ON_ORDER


class Purchases(Struct, frozen=True):
    """Everything that may be bought in one model; `by_part` has the tiers that bring a part.

    Among the tiers stand those of lines that bring nothing: the `fillers` of their supplier. `coming` is what is taken
    of pieces that are under way already, by part.
    """

    tiers: tuple[TierColumns, ...]
    suppliers: tuple[SupplierColumns, ...]
    by_part: Mapping[str, tuple[TierColumns, ...]] = field(default_factory=dict)
    fillers: Mapping[str, Fillers] = NO_FILLERS
    coming: Mapping[str, tuple[ComingColumn, ...]] = NOTHING_COMES

    def arrival_days(self, part: str) -> set[int]:
        """Return the days on which pieces of a part may come."""
        bought = {tier.source.offer.lead_days for tier in self.by_part.get(part, ())}
        return bought | {each.days for each in self.coming.get(part, ())}

    def arrivals(self, part: str, days: float) -> Terms:
        """Return the pieces of a part that are here within so many days, as terms."""
        under_way: Terms = [(each.taken, 1) for each in self.coming.get(part, ()) if each.days <= days]
        return under_way + [
            (column.packs, column.source.pieces_per_pack[part])
            for column in self.by_part.get(part, ())
            if column.source.offer.lead_days <= days
        ]

    def spend_terms(self) -> Terms:
        """Return the money paid now, cents: lines and freight."""
        lines: Terms = [(column.packs, column.tier.price_cents) for column in self.tiers]
        freight: Terms = [(each.ordered, each.supplier.freight_cents) for each in self.suppliers]
        waived: Terms = [
            (each.waived, -each.supplier.freight_cents) for each in self.suppliers if each.waived is not None
        ]
        return lines + freight + waived

    def special_order_terms(self) -> Terms:
        """Return the number of lines that are special orders."""
        return [(column.chosen, 1) for column in self.tiers if column.source.offer.special_order]

    def order_terms(self) -> Terms:
        """Return the number of suppliers ordered from."""
        return [(each.ordered, 1) for each in self.suppliers]


class ModelRequest(Struct, frozen=True):
    """What a model must tell beyond who gets what.

    `settled` are suppliers whose orders are decided and paid for outside the model: only their lines count in it, and
    these must come to so much, cents.
    `waiting` asks how long each engine waits for its parts; `beside` is what else there is.
    """

    settled: Mapping[str, int] = field(default_factory=dict)
    waiting: bool = False
    beside: BesideTheShelf = NOTHING_BESIDE


NOTHING_MORE = ModelRequest()


def add_purchases(
    problem: pulp.LpProblem,
    sources: Sequence[Source],
    supply: Supply,
    need: Mapping[str, int],
    asked: ModelRequest = NOTHING_MORE,
) -> Purchases:
    """State what may be bought.

    Parameters
    ----------
    problem
        The model to add to.
    sources
        The lines that may be bought.
    supply
        Where suppliers' terms are found.
    need
        The most pieces of each part that can be wanted; lines that bring none of these are left out.
    asked
        Which suppliers are settled outside the model, what else the others may be made to send, and what is under way.
    """
    by_supplier: dict[str, list[TierColumns]] = defaultdict(list)
    for number, source in enumerate(sources):
        if not need.keys().isdisjoint(source.pieces_per_pack):
            name = source.offer.supplier
            terms = supply.supplier(name)
            if name in asked.settled:
                terms = Supplier(name, minimum_order_cents=asked.settled[name])
            by_supplier[name].extend(_line(problem, str(number), source, most_packs(source, need, terms)))
    fillers = asked.beside.fillers
    for name in sorted(fillers.keys() & by_supplier.keys() - asked.settled.keys()):
        by_supplier[name].extend(add_fillers(problem, fillers[name]))
    suppliers = tuple(
        _order(problem, number, supply.supplier(name), columns)
        for number, (name, columns) in enumerate(by_supplier.items())
        if name not in asked.settled
    )
    _add_least_lines(problem, by_supplier, asked.settled)
    tiers = tuple(column for columns in by_supplier.values() for column in columns)
    coming = {
        part: _under_way(problem, part, asked.beside.coming[part])
        for part in sorted(need)
        if part in asked.beside.coming
    }
    return Purchases(tiers, suppliers, _by_part(tiers), fillers, coming)


def _under_way(problem: pulp.LpProblem, part: str, coming: Sequence[Coming]) -> tuple[ComingColumn, ...]:
    """State how many are taken of each lot of a part that is under way."""
    columns = []
    for number, each in enumerate(coming):
        name = f"under_way_{label(part)}_{number}"
        taken = problem.add_variable(name, 0, each.pieces, "Integer")
        # PuLP knows only variables that stand in a row, and what comes too late for everybody stands in no other.
        problem.addConstraint(weighted_sum([(taken, 1)]) <= each.pieces, f"all_{name}")
        columns.append(ComingColumn(each.days, taken, each.source))
    return tuple(columns)


def _add_least_lines(
    problem: pulp.LpProblem, by_supplier: Mapping[str, Sequence[TierColumns]], settled: Mapping[str, int]
) -> None:
    """Let the lines at settled suppliers come to what is asked of this model."""
    for name, least_cents in settled.items():
        if least_cents > 0:
            lines = weighted_sum([(column.packs, column.tier.price_cents) for column in by_supplier[name]])
            problem.addConstraint(lines >= least_cents, f"lines_{label(name)}")


def _by_part(tiers: Iterable[TierColumns]) -> dict[str, tuple[TierColumns, ...]]:
    by_part: dict[str, list[TierColumns]] = defaultdict(list)
    for column in tiers:
        for part in column.source.pieces_per_pack:
            by_part[part].append(column)
    return {part: tuple(columns) for part, columns in by_part.items()}


def _line(problem: pulp.LpProblem, number: str, source: Source, most: int) -> list[TierColumns]:
    offer = source.offer
    columns = []
    for tier, last in tier_ends(offer):
        fewest, upto = max(tier.from_packs, offer.minimum_packs), int(min(last, most))
        if fewest > upto:
            continue
        name = label(offer.supplier, offer.part, number, f"from{tier.from_packs}")
        packs = problem.add_variable(f"packs_{name}", 0, upto, "Integer")
        chosen = problem.add_variable(f"tier_{name}", 0, 1, "Integer")
        problem.addConstraint(weighted_sum([(packs, 1), (chosen, -upto)]) <= 0, f"most_{name}")
        problem.addConstraint(weighted_sum([(packs, 1), (chosen, -fewest)]) >= 0, f"fewest_{name}")
        columns.append(TierColumns(source, tier, packs, chosen))
    if len(columns) > 1:
        name = label(offer.supplier, offer.part, number)
        problem.addConstraint(weighted_sum((column.chosen, 1) for column in columns) <= 1, f"one_tier_{name}")
    return columns


def add_fillers(problem: pulp.LpProblem, fillers: Fillers) -> list[TierColumns]:
    """State what a supplier's fillers may come to: lines that bring nothing, of which the sum is bought."""
    columns: list[TierColumns] = []
    for number, (offer, fewest, most) in enumerate(fillers.stand_ins()):
        line = Source(replace(offer, minimum_packs=fewest), {})
        columns += _line(problem, f"filler{number}", line, most)
    sums = [column for column in columns if column.source.offer.part == SUM_OF_FILLERS]
    if len(sums) > 1:
        one = weighted_sum((column.chosen, 1) for column in sums) <= 1
        problem.addConstraint(one, f"one_sum_{label(fillers.supplier.name)}")
    return columns


def _order(problem: pulp.LpProblem, number: int, supplier: Supplier, columns: Iterable[TierColumns]) -> SupplierColumns:
    name = label(supplier.name, str(number))
    ordered = problem.add_variable(f"order_{name}", 0, 1, "Integer")
    sums = [(column.packs, column.tier.price_cents) for column in columns]
    for position, column in enumerate(columns):
        problem.addConstraint(weighted_sum([(column.chosen, 1), (ordered, -1)]) <= 0, f"on_order_{name}_{position}")
    if supplier.minimum_order_cents > 0:
        row = weighted_sum([*sums, (ordered, -supplier.minimum_order_cents)]) >= 0
        problem.addConstraint(row, f"minimum_order_{name}")
    waived = None
    if supplier.free_freight_over_cents is not None and supplier.freight_cents > 0:
        waived = problem.add_variable(f"free_freight_{name}", 0, 1, "Integer")
        row = weighted_sum([*sums, (waived, -supplier.free_freight_over_cents)]) >= 0
        problem.addConstraint(row, f"free_freight_{name}_over")
        problem.addConstraint(weighted_sum([(waived, 1), (ordered, -1)]) <= 0, f"free_freight_{name}_ordered")
    return SupplierColumns(supplier, ordered, waived)


def group_orders(lines: Iterable[OrderLine], supply: Supply) -> tuple[Order, ...]:
    """Group lines into one order per supplier; freight is waived where the lines reach the supplier's threshold."""
    by_supplier: dict[str, list[OrderLine]] = defaultdict(list)
    for line in lines:
        by_supplier[line.offer.supplier].append(line)
    return tuple(_with_freight(Order(name, 0, tuple(own)), supply.supplier(name)) for name, own in by_supplier.items())


def _with_freight(order: Order, terms: Supplier) -> Order:
    over = terms.free_freight_over_cents
    waived = over is not None and order.total_cents >= over
    return order if waived else replace(order, freight_cents=terms.freight_cents)


def label(*words: str) -> str:
    """Join words to a name that an LP file can hold."""
    return "_".join(re.sub(r"\W", "_", word, flags=re.ASCII) for word in words)
