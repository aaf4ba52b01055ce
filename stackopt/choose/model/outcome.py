"""From the values of the model's variables to the records of a choice."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping, Sequence

from msgspec.structs import replace

from stackopt.choose.choice_records import (
    FITTED,
    SHELF,
    Choice,
    FittedCylinder,
    FittedEngine,
    OrderLine,
    PassResult,
    Status,
    Use,
)
from stackopt.choose.coming import is_coming
from stackopt.choose.model.handing_out import Given, SourceHeap, hand_out
from stackopt.choose.model.passes import Solution
from stackopt.choose.model.program import JobColumns, Program
from stackopt.choose.model.purchase import group_orders
from stackopt.choose.stacks.chance import left_out, stack_chance, stack_figures
from stackopt.choose.stacks.fittable import Stack
from stackopt.choose.stacks.worked import as_worked, gaskets_of
from stackopt.engine.engine_records import Cylinder, Engine
from stackopt.engine.levers.lever import Lever
from stackopt.parts.part_records import Part, Supply


def read_choice(program: Program, solution: Solution) -> Choice:
    """Return what a solution means: who gets what, from where, what is ordered, and how far it is proven."""
    fitted = {columns.job.engine.name: _fitted_stacks(columns, solution) for columns in program.jobs}
    handed_out = hand_out(program, solution, _bought_lines(program, solution), fitted)
    use = handed_out.use()
    use.update({(kit, SHELF): solution[column] for kit, column in program.opened.items() if solution[column]})
    return Choice(
        status=status_of(solution.passes),
        passes=solution.passes,
        engines=tuple(
            _with_sources(
                fitted_engine(job.engine, fitted[job.engine.name], program.supply.parts),
                handed_out.given[job.engine.name],
            )
            for job in (columns.job for columns in program.jobs)
        ),
        use=tuple(Use(part, source, quantity) for (part, source), quantity in sorted(use.items())),
        orders=group_orders([*handed_out.lines, *_filler_lines(program, solution)], program.supply),
    )


def _bought_lines(program: Program, solution: Solution) -> list[OrderLine]:
    return [
        OrderLine(column.source.offer, solution[column.packs])
        for column in program.purchases.tiers
        if solution[column.packs] and column.source.pieces_per_pack
    ]


def _filler_lines(program: Program, solution: Solution) -> Iterator[OrderLine]:
    """Yield lines that come to what the model spends on fillers at each supplier, special orders as they stand."""
    cents: Counter[str] = Counter()
    for column in program.purchases.tiers:
        offer, packs = column.source.offer, solution[column.packs]
        if not packs or column.source.pieces_per_pack:
            continue
        if offer.special_order:
            yield OrderLine(offer, packs, filler_packs=packs)
        else:
            cents[offer.supplier] += packs * column.tier.price_cents
    for name, sum_cents in cents.items():
        yield from program.purchases.fillers[name].pick(sum_cents)


def _with_sources(fitted: FittedEngine, given: Given) -> FittedEngine:
    """Say of every piece where it comes from: a shared one from where the first cylinder's does."""
    left = [{part: [heap.source for heap in heaps] for part, heaps in parts.items()} for parts in given.cylinders]
    cylinders = []
    for number, cylinder in enumerate(fitted.cylinders):
        own = left[number]
        sources = tuple(_source(piece.part, own, given.cylinders[0]) for piece in cylinder.pieces)
        cylinders.append(replace(cylinder, sources=sources))
    return replace(fitted, cylinders=tuple(cylinders), wait_days=given.wait_days)


def _source(part: str, own: Mapping[str, list[str]], first: Mapping[str, Sequence[SourceHeap]]) -> str:
    if own.get(part):
        return own[part].pop(0)
    return first[part][0].source if part in first else FITTED


def _fitted_stacks(columns: JobColumns, solution: Solution) -> tuple[Stack, ...]:
    return tuple(stack for stack, fitted in columns.stacks_with_columns() if solution[fitted])


def fitted_engine(engine: Engine, stacks: tuple[Stack, ...], parts: Mapping[str, Part]) -> FittedEngine:
    """Return what an engine gets: a stack a cylinder, or none at all where it is blocked."""
    cylinders = tuple(
        _fitted_cylinder(cylinder, stack, [parts[piece.part] for piece in stack.pieces])
        for cylinder, stack in zip(engine.cylinders, stacks, strict=False)
    )
    return FittedEngine(engine.name, tuple(_paid_once(cylinders)))


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
        left_out=left_out(then, gaskets),
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


def as_handed_out(choice: Choice, supply: Supply) -> Choice:
    """Return a choice whose passes say what is handed out and ordered, which is less where a solve was cut short.

    A model may set more aside than its engines take, until the pass comes that makes just that least.
    """
    if choice.status is Status.PROVEN:
        return choice
    taken = (use for use in choice.use if use.source == SHELF or is_coming(use.source))
    reached = {
        "special-orders": sum(line.offer.special_order for order in choice.orders for line in order.lines),
        "orders": len(choice.orders),
        "spend": choice.spend_cents,
        "wait": sum(engine.wait_days for engine in choice.engines),
        "shelf-value": sum(use.quantity * supply.unit_cost_cents(use.part) for use in taken),
    }
    passes = []
    for result in choice.passes:
        value = min(result.value, reached.get(result.objective, result.value))
        passes.append(replace(result, value=value, bound=min(result.bound, value)))
    return replace(choice, passes=tuple(passes))
