"""What is changed since the previous plan: which cylinder gets what instead of what."""

from __future__ import annotations

from rich.console import RenderableType

from stackopt.choose.why.changes import changes
from stackopt.choose.why.explain import Answer
from stackopt.report.layout import heading, indented, table


def changes_table(answer: Answer) -> list[RenderableType]:
    """Return heading and table of what is changed; nothing where there is no previous plan of these engines."""
    previous = answer.request.previous
    if not any(engine.name in previous for engine in answer.request.engines):
        return []
    changed = changes(previous, answer.choice)
    if not changed:
        return [heading("Nothing is changed since the previous plan")]
    laid = table("engine", "cylinder", "gets", "instead of")
    for each in changed:
        laid.add_row(each.engine, each.cylinder, " + ".join(each.now) or "nothing: blocked", " + ".join(each.before))
    return [heading("What is changed since the previous plan"), indented(laid)]
