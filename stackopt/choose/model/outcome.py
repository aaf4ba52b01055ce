"""From the values of the model's variables to the records of a choice."""

from __future__ import annotations

import math
from collections import Counter, defaultdict
from collections.abc import Iterator, Mapping, Sequence

from msgspec import Struct
from msgspec.structs import replace

from stackopt.choose.model.passes import Solution
from stackopt.choose.model.program import JobColumns, Program
from stackopt.choose.model.purchase import group_orders
from stackopt.choose.records import (
    SHELF,
    Choice,
    FittedCylinder,
    FittedEngine,
    OrderLine,
    PassResult,
    Status,
    Use,
)
from stackopt.choose.stacks.chance import stack_chance, stack_figures
from stackopt.choose.stacks.fittable import Stack
from stackopt.choose.stacks.worked import as_worked, gaskets_of
from stackopt.engine.levers.lever import Lever
from stackopt.engine.records import Cylinder, Engine
from stackopt.parts.records import Part, Supply

HERE = -math.inf


class Heap(Struct):
    """Pieces of one part from one source, here after so many days; minus infinity for what is here already."""

    source: str
    days: float
    left: int


def read_choice(program: Program, solution: Solution) -> Choice:
    """Return what a solution means: who gets what, from where, what is ordered, and how far it is proven."""
    lines = _bought_lines(program, solution)
    heaps = _heaps(program, solution, lines)
    fitted = {columns.job.engine.name: _fitted_stacks(columns, solution) for columns in program.jobs}
    use: Counter[tuple[str, str]] = Counter()
    waits: dict[str, int] = {}
    deadlines = {columns.job.engine.name: _deadline(program, columns, solution) for columns in program.jobs}
    for columns in sorted(program.jobs, key=lambda each: deadlines[each.job.engine.name]):
        name = columns.job.engine.name
        pieces = _take(heaps, deadlines[name], fitted[name])
        use.update((part, heap.source) for part, heap in pieces)
        waits[columns.job.engine.name] = int(max((heap.days for _, heap in pieces if heap.days > HERE), default=0))
    use.update({(kit, SHELF): solution[column] for kit, column in program.opened.items() if solution[column]})
    return Choice(
        status=status_of(solution.passes),
        passes=solution.passes,
        engines=tuple(
            fitted_engine(job.engine, fitted[job.engine.name], program.supply.parts, waits[job.engine.name])
            for job in (columns.job for columns in program.jobs)
        ),
        use=tuple(Use(part, source, quantity) for (part, source), quantity in sorted(use.items())),
        orders=group_orders([*lines, *_filler_lines(program, solution)], program.supply),
    )


def _bought_lines(program: Program, solution: Solution) -> list[OrderLine]:
    return [
        OrderLine(column.source.offer, solution[column.packs])
        for column in program.purchases.tiers
        if solution[column.packs] and column.source.pieces_per_pack
    ]


def _filler_lines(program: Program, solution: Solution) -> Iterator[OrderLine]:
    """Yield lines that come to what the model spends on fillers at each supplier."""
    cents: Counter[str] = Counter()
    for column in program.purchases.tiers:
        if not column.source.pieces_per_pack:
            cents[column.source.offer.supplier] += solution[column.packs] * column.tier.price_cents
    for name, sum_cents in cents.items():
        yield from program.purchases.fillers[name].pick(sum_cents)


def _heaps(program: Program, solution: Solution, lines: list[OrderLine]) -> dict[str, list[Heap]]:
    """Lay out what there is of each part, in the order it is to be taken.

    What is bought or out of an opened kit goes first where a piece from the shelf has a cost, and last where it has
    none: so as little shelf value is used as the last objective reached.
    """
    heaps: dict[str, list[Heap]] = defaultdict(list)
    for part in {
        part for columns in program.jobs for stack, _ in columns.stacks_with_columns() for part, _ in stack.uses
    }:
        supply = program.supply
        shelf = [Heap(SHELF, HERE, supply.free(part))]
        kits = [
            Heap(kit, HERE, solution[column] * supply.kits[kit].contents[part])
            for kit, column in program.opened.items()
            if part in supply.kits[kit].contents
        ]
        bought = [
            Heap(column.source.offer.supplier, column.source.offer.lead_days, solution[column.packs] * pieces)
            for column in program.purchases.by_part.get(part, ())
            for pieces in (column.source.pieces_per_pack[part],)
        ]
        bought.sort(key=lambda heap: heap.days)
        heaps[part] = [*kits, *bought, *shelf] if supply.unit_cost_cents(part) > 0 else [*shelf, *kits, *bought]
    return heaps


def _deadline(program: Program, columns: JobColumns, solution: Solution) -> float:
    """Return the day by which an engine's parts are here: the last it can wait for, or the one that was chosen."""
    waiting = program.waits.get(columns.job.engine.name)
    if waiting is None or columns.job.days < 0:
        return columns.job.days
    return waiting.days[sum(solution[longer] for longer in waiting.longer)]


def _take(heaps: Mapping[str, list[Heap]], deadline: float, stacks: tuple[Stack, ...]) -> list[tuple[str, Heap]]:
    """Take the pieces of one engine from the heaps that are here in time; one entry a piece."""
    taken = []
    for part, quantity in (use for stack in stacks for use in stack.uses):
        for _ in range(quantity):
            heap = next(heap for heap in heaps[part] if heap.left > 0 and heap.days <= deadline)
            heap.left -= 1
            taken.append((part, heap))
    return taken


def _fitted_stacks(columns: JobColumns, solution: Solution) -> tuple[Stack, ...]:
    return tuple(stack for stack, fitted in columns.stacks_with_columns() if solution[fitted])


def fitted_engine(
    engine: Engine, stacks: tuple[Stack, ...], parts: Mapping[str, Part], wait_days: int = 0
) -> FittedEngine:
    """Return what an engine gets: a stack a cylinder, or none at all where it is blocked."""
    cylinders = tuple(
        _fitted_cylinder(cylinder, stack, [parts[piece.part] for piece in stack.pieces])
        for cylinder, stack in zip(engine.cylinders, stacks, strict=False)
    )
    return FittedEngine(engine.name, tuple(_paid_once(cylinders)), wait_days=wait_days)


def _paid_once(cylinders: Sequence[FittedCylinder]) -> Iterator[FittedCylinder]:
    """Leave the price of work that is paid once for the engine with the first cylinder on which it is done."""
    paid: set[Lever] = set()
    for cylinder in cylinders:
        work = tuple(replace(one, price_cents=0) if one.lever in paid else one for one in cylinder.work)
        paid |= {one.lever for one in cylinder.work if one.per_engine}
        yield replace(cylinder, work=work)


def _fitted_cylinder(cylinder: Cylinder, stack: Stack, pieces: Sequence[Part]) -> FittedCylinder:
    then, gaskets = as_worked(cylinder, stack.work, pieces), gaskets_of(pieces)
    return FittedCylinder(
        cylinder=cylinder.name,
        pieces=stack.pieces,
        quench_mm=stack.quench_mm,
        compression_ratio=stack.compression_ratio,
        chance_in_window=stack_chance(then, gaskets),
        closeness=stack.closeness,
        figures=stack_figures(then, gaskets),
        work=stack.work,
    )


def join_choices(
    choices: Sequence[Choice],
    supply: Supply,
    engines: Sequence[str],
    passes: Sequence[PassResult],
    fillers: Sequence[OrderLine] = (),
) -> Choice:
    """Put the choices of groups together: engines in the order of their names given, one order to each supplier.

    Parameters
    ----------
    choices
        Of groups that share no part.
    supply
        Where the suppliers' terms are found.
    engines
        Names of all engines, in the order wanted.
    passes
        What was reached and proven over all groups.
    fillers
        Lines that are bought beside what the groups buy.
    """
    lines = [line for choice in choices for order in choice.orders for line in order.lines]
    by_name = {engine.engine: engine for choice in choices for engine in choice.engines}
    return Choice(
        status=status_of(passes),
        passes=tuple(passes),
        engines=tuple(by_name[name] for name in engines),
        use=tuple(sorted((use for choice in choices for use in choice.use), key=lambda use: (use.part, use.source))),
        orders=group_orders([*lines, *fillers], supply),
    )


def status_of(passes: Sequence[PassResult]) -> Status:
    """Return how far a choice with these passes is proven."""
    return Status.PROVEN if all(result.proven for result in passes) else Status.BEST_FOUND
