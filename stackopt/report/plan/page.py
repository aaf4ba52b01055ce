"""The page of a plan: what an owner asks first, a line an engine, and the rest by engine or all of it."""

from __future__ import annotations

from collections.abc import Iterator

from rich.console import Console, RenderableType
from rich.text import Text

from stackopt.choose.choice_records import FittedEngine
from stackopt.choose.why.explain import Answer
from stackopt.engine.engine_records import Engine
from stackopt.report.answer.contests import contests_table, giving_way_section
from stackopt.report.answer.fitted import fitted_table, sources_by_part
from stackopt.report.answer.orders import work_table
from stackopt.report.answer.page import blocked_sections, cautions_section, in_units, whole_sections
from stackopt.report.answer.proof import proof_title, untold_section
from stackopt.report.layout import captured_text, heading, indented
from stackopt.report.plan.changed import changes_table
from stackopt.report.plan.overview import engines_table, orders_in_short, overview
from stackopt.report.plan.shown import Shown
from stackopt.report.wording import counted


def plan_text(console: Console, answer: Answer, shown: Shown) -> str:
    """Return the page of a plan for several engines as text for a console."""
    return captured_text(console, in_units(answer, _sections(answer, shown)))


def _sections(answer: Answer, shown: Shown) -> Iterator[list[RenderableType]]:
    if shown.engines:
        for engine, fitted in answer.pairs():
            if engine.name in shown.engines:
                yield from _one_engine(answer, engine, fitted)
        yield untold_section(answer.untold)
        yield cautions_section(answer, [pair for pair in answer.pairs() if pair[0].name in shown.engines])
        return
    yield overview(answer)
    yield engines_table(answer)
    yield changes_table(answer)
    if shown.at_length(len(answer.choice.engines)):
        yield from whole_sections(answer)
        return
    yield work_table(answer.choice.engines)
    yield giving_way_section(answer.giving_way, answer.request.today)
    yield orders_in_short(answer)
    yield _left_out(answer)
    yield untold_section(answer.untold)
    yield cautions_section(answer, answer.pairs(), shared_only=True)


def _one_engine(answer: Answer, engine: Engine, fitted: FittedEngine) -> Iterator[list[RenderableType]]:
    if fitted.blocked:
        yield from blocked_sections(answer, engine, fitted)
    else:
        yield fitted_table(engine, fitted, answer.supply, sources_by_part(answer.choice.use))
    yield contests_table([contest for contest in answer.contests if contest.engine == engine.name])


def _left_out(answer: Answer) -> list[RenderableType]:
    """Return what was proven in a line, and where to find what a short page leaves out."""
    words = ["stackopt plan … --engine NAME shows what goes on an engine; --all all, and who stood back for whom."]
    with_cautions = sum(bool(answer.cautions_of(engine, fitted)) for engine, fitted in answer.pairs())
    if with_cautions:
        words.append(f"{counted(with_cautions, 'engine')} with cautions of their own: read these before you build.")
    return [heading(proof_title(answer.choice)), indented(Text("\n".join(words)))]
