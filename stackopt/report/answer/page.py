"""The whole answer on a terminal, in a builder's order: what goes on, what to buy, why, what else, which cautions."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator

from rich.console import Console, RenderableType

from stackopt.choose.choice_records import FittedEngine
from stackopt.choose.why.explain import Answer
from stackopt.engine.cautions import Units
from stackopt.engine.engine_records import Engine
from stackopt.report.answer.blocked import blocked_section, freeing_lines
from stackopt.report.answer.contests import contests_table, giving_way_section
from stackopt.report.answer.fitted import fitted_table, plan_table, sources_by_part
from stackopt.report.answer.frontier import frontier_section
from stackopt.report.answer.levers import lever_table
from stackopt.report.answer.next_best import next_best_table, preferences_table
from stackopt.report.answer.orders import order_tables, work_table
from stackopt.report.answer.proof import proof_table, untold_section
from stackopt.report.answer.read_head import read_section
from stackopt.report.answer.tried import heads_section, tried_section
from stackopt.report.inches import inch_section, looks_like_a_length
from stackopt.report.layout import captured_text, heading, indented, table
from stackopt.report.wording import ALWAYS

WIDEST = 100


def terminal(*, colour: bool) -> Console:
    """Return the console that answers are laid out for: 80 columns where nobody can say, 100 at most."""
    # Brackets and colons in a part's number or a name are meant as they stand.
    console = Console(no_color=not colour or None, highlight=False, soft_wrap=False, markup=False, emoji=False)
    console.width = min(console.width, WIDEST)
    return console


def answer_text(console: Console, answer: Answer) -> str:
    """Return an answer as text for a console, a blank line after each section."""
    return captured_text(console, (*_as_read(answer), *in_units(answer, whole_sections(answer))))


def in_units(answer: Answer, sections: Iterable[list[RenderableType]]) -> Iterable[list[RenderableType]]:
    """Return sections of an answer with lengths in the unit that its reader thinks in."""
    if answer.units is Units.INCH:
        names = [number for number in answer.supply.parts if looks_like_a_length(number)]
        return (inch_section(section, names) for section in sections)
    return sections


def _as_read(answer: Answer) -> Iterator[list[RenderableType]]:
    """Yield what was read of the one engine that was asked about."""
    if len(answer.request.engines) == 1:
        yield read_section(answer.request.engines[0], answer.units)


def _at_bench(answer: Answer) -> Iterator[list[RenderableType]]:
    """Yield what the builder holds in his hand, and the head gasket for every base at hand."""
    stuck = {cylinder.cylinder for own in answer.blocked.values() for cylinder in own if cylinder.would_do}
    heads = [one for one in answer.heads if one.cylinder not in stuck]
    if answer.tried or heads:
        yield tried_section(answer.tried, answer.supply.parts, answer.units)
        yield heads_section(heads, answer.units)


def whole_sections(answer: Answer) -> Iterator[list[RenderableType]]:
    """Yield all that an answer says of its engines, one section after another."""
    sources = sources_by_part(answer.choice.use)
    if len(answer.choice.engines) > 1:
        yield list(plan_table(answer.pairs(), sources, answer.supply))
    for engine, fitted in answer.pairs():
        if fitted.blocked:
            yield from blocked_sections(answer, engine, fitted)
        elif len(answer.choice.engines) == 1:
            yield fitted_table(engine, fitted, answer.supply, sources)
    if len(answer.choice.blocked) < len(answer.choice.engines):
        yield work_table(answer.choice.engines)
        today, terms = answer.request.today, answer.supply.suppliers
        yield order_tables(answer.choice.orders, today, terms, answer.due_dates, answer.choice.use)
    yield from _at_bench(answer)
    yield from _of_some(answer)
    yield giving_way_section(answer.giving_way, answer.request.today)
    yield proof_table(answer.choice)
    yield untold_section(answer.untold)
    yield from _other_choices(answer)
    yield cautions_section(answer, answer.pairs())


def blocked_sections(answer: Answer, engine: Engine, fitted: FittedEngine) -> Iterator[list[RenderableType]]:
    """Yield why an engine is blocked and what would free it."""
    yield blocked_section(answer, engine, fitted)
    yield freeing_lines(engine.name, answer.freeing.get(engine.name))


def _of_some(answer: Answer) -> Iterator[list[RenderableType]]:
    """Yield what only some answers hold; what writes it is imported only then, since a short answer is waited for."""
    if answer.contests:
        yield contests_table(answer.contests)
    if answer.lever_offers:
        yield from (lever_table(name, offers) for name, offers in answer.lever_offers.items())


def _other_choices(answer: Answer) -> Iterator[list[RenderableType]]:
    for _, fitted in answer.pairs():
        if fitted.engine in answer.alternatives:
            yield next_best_table(fitted, answer.alternatives[fitted.engine], answer.supply)
    yield preferences_table(answer)
    if answer.trade_off is not None:
        yield frontier_section(answer.trade_off, answer.choice)


def cautions_section(
    answer: Answer, pairs: Iterable[tuple[Engine, FittedEngine]], *, shared_only: bool = False
) -> list[RenderableType]:
    """Return the cautions: those of single engines, those of all engines, and those that are always said."""
    laid = table("", "", heads=False)
    said: dict[str, dict[str, list[str]]] = defaultdict(lambda: defaultdict(list))
    for engine, fitted in pairs:
        for caution in answer.cautions_of(engine, fitted):
            said[caution.words(answer.units)][engine.name].append(caution.cylinder)
    for words, cylinders in said.items():
        for own in dict.fromkeys(tuple(own) for own in cylinders.values()):
            names = [name for name, each in cylinders.items() if tuple(each) == own]
            if shared_only and len(names) < len(answer.choice.engines):
                continue
            named = [] if len(names) == len(answer.choice.engines) else [", ".join(names)]
            named += [" and ".join(own)] if any(own) else []
            laid.add_row("-", f"{' '.join(named)}: {words}" if named else words)
    for sentence in (*(caution.words(answer.units) for caution in answer.cautions_of_all()), *ALWAYS):
        laid.add_row("-", sentence)
    return [heading("Before it runs"), indented(laid)]
