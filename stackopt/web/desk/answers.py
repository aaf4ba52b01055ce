"""One engine's answer at the bench: solved while the builder waits, remembered until the ledger moves on."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from datetime import date

from msgspec.structs import replace

from stackopt.books.engine_text.shop_tolerance import shop_tolerance_mm, with_tolerance
from stackopt.choose.choice_records import Fitted, Request
from stackopt.choose.patience import Patience
from stackopt.choose.solve.plan import checked_task, solved
from stackopt.choose.why.explain import Answer, explained
from stackopt.engine.engine_records import Engine
from stackopt.parts.part_records import Supply
from stackopt.parts.unknown import unknown_names
from stackopt.problems import InputError
from stackopt.shop.ledger import Ledger
from stackopt.stocking.filling import WholeShelf, filled_for_the_shelf
from stackopt.stocking.reorder.useful import ShelfAhead
from stackopt.web.desk.remembered import RememberedLedger

# An answer at the bench takes a fraction of a second; what takes longer ends with the best found.
BENCH_SECONDS = 8.0


def supply_for(engines: Sequence[Engine], ledger: Ledger, asking: Collection[str], today: date) -> Supply:
    """Return what there is for these engines, what those `asking` hold counted as free.

    One engine alone is looked at from where it is built, several from the main branch.

    Raises
    ------
    InputError
        When one has a part fitted already that no list names. One of a family that no part names is blocked, no more.
    """
    supply = ledger.supply({engine.family for engine in engines}, asking, today=today, at=place_of(engines, ledger))
    problems = [problem for engine in engines if engine.pinned for problem in unknown_names([engine], supply.parts)]
    if problems:
        raise InputError(*problems)
    return supply


def place_of(engines: Sequence[Engine], ledger: Ledger) -> str:
    """Return the branch from which engines are looked at: one alone from where it is built, several from the main."""
    return ledger.built_at(engines[0].name) if len(engines) == 1 else ""


def with_defaults(engines: Sequence[Engine], ledger: Ledger) -> tuple[Engine, ...]:
    """Return the engines with what ``shop.toml`` beside the ledger says of gaskets, as the command line has them.

    Raises
    ------
    InputError
        When what it says cannot be read.
    """
    return with_tolerance(engines, shop_tolerance_mm((), ledger.shown))


def answer_for(engine: Engine, ledger: RememberedLedger, today: date) -> Answer:
    """Return the answer for one engine from the ledger's shelf and lists.

    Raises
    ------
    InputError
        As `supply_for`.
    """

    def work_out() -> Answer:
        supply = supply_for([engine], ledger, [engine.name], today)
        answer = solve([engine], supply, today, Patience.of_seconds(BENCH_SECONDS))
        return filled(answer, ledger, [engine.name], today)

    return ledger.remembered(("answer", today, repr(engine)), work_out)


def solve(
    engines: Sequence[Engine], supply: Supply, today: date, patience: Patience, previous: Fitted | None = None
) -> Answer:
    """Choose for engines and say why."""
    request = Request(tuple(engines), today, (), patience, previous or {})
    task = checked_task(request, supply)
    choice = solved(task)
    return explained(replace(request, patience=patience.afterwards()), task, choice)


def filled(answer: Answer, ledger: Ledger, asking: Collection[str], today: date) -> Answer:
    """Return an answer that costs the same, its orders filled with what the shelf wants."""
    shelf = WholeShelf(
        lambda: ledger.supply(asking=asking, today=today, at=place_of(answer.request.engines, ledger)),
        lambda: ShelfAhead(ledger.usage(), deliveries=ledger.deliveries(today)),
        ledger.shown,
    )
    return replace(answer, choice=filled_for_the_shelf(answer.request, answer.choice, shelf))


def only_these(supply: Supply, engine: Engine, pairs: Collection[tuple[int, str]]) -> Supply:
    """Return a supply in which nothing but these parts goes on an engine, each on its cylinder, counted from 1."""
    on: dict[str, set[int]] = {}
    for cylinder, number in pairs:
        on.setdefault(number, set()).add(cylinder)
    parts = {}
    for number, cylinders in on.items():
        part = supply.parts.get(number)
        if part is not None and cylinders <= set(range(1, len(engine.cylinders) + 1)):
            alone = engine.cylinders[min(cylinders) - 1].name if len(cylinders) == 1 and part.covers == 1 else ""
            parts[number] = replace(part, position=alone or part.position)
    return replace(supply, parts=parts)


def marks_of(answer: Answer) -> str:
    """Return what an answer gives and buys as one text: the same text is the same answer."""
    fitted = [f"{engine.engine}={','.join(engine.part_numbers)}" for engine in answer.choice.engines]
    bought = [
        f"{order.supplier}:{line.offer.part}x{line.packs}@{line.line_cents}"
        for order in answer.choice.orders
        for line in order.lines
    ]
    return ";".join([*fitted, *sorted(bought)])
