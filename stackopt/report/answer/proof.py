"""What was proven, in plain words: a line for each objective, in the order in which they counted."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from msgspec import Struct
from rich.console import RenderableType
from rich.text import Text

from stackopt.choose.choice_records import Choice, PassResult
from stackopt.choose.model.objective import ObjectiveKind
from stackopt.choose.model.objectives import ALL
from stackopt.report.layout import heading, indented, table
from stackopt.report.wording import counted
from stackopt.units import money


class Wording(Struct, frozen=True):
    """How one objective is spoken of: its name, how a value is written, what a proof says, what a difference means.

    `more` and `less` hold ``{}`` where the difference goes.
    """

    measure: str
    write: Callable[[float], str]
    proven: str
    more: str
    less: str


def _whole(value: float) -> str:
    return str(round(value))


def _cents(value: float) -> str:
    return money(round(value))


def _days(value: float) -> str:
    return counted(round(value), "day")


def _three_decimals(value: float) -> str:
    return f"{value:.3f}"


def _millimetres(value: float) -> str:
    return f"{value:.3f} mm"


_WRITERS: dict[ObjectiveKind, Callable[[float], str]] = {
    ObjectiveKind.COUNT: _whole,
    ObjectiveKind.CENTS: _cents,
    ObjectiveKind.DAYS: _days,
    ObjectiveKind.HALF_WIDTHS: _three_decimals,
    ObjectiveKind.CHANCE: _three_decimals,
    ObjectiveKind.MILLIMETRES: _millimetres,
}
WORDINGS: dict[str, Wording] = {
    name: Wording(each.words.measure, _WRITERS[each.kind], each.words.proven, each.words.more, each.words.less)
    for name, each in ALL.items()
}
DISTANCE_NOTE = (
    "* How far quench and ratio are from their aims, summed over all cylinders; half the width of a window counts 1. "
    "So 0 is on every aim, and 1 is one value at the edge of its window."
)


def proof_table(choice: Choice) -> list[RenderableType]:
    """Return heading, table and reading note of what each pass reached and what its bound proves."""
    if len(choice.blocked) == len(choice.engines):
        return [heading(proof_title(choice))]
    laid = table("what counts, in this order", "reached", "proof", right=("reached",))
    for result in choice.passes:
        wording = WORDINGS[result.objective]
        laid.add_row(wording.measure, wording.write(result.value), _claim(result, wording))
    return [heading(proof_title(choice)), indented(laid), Text(""), *_notes(choice.passes)]


def proof_title(choice: Choice) -> str:
    """Say in a few words whether an answer is proven; where all engines are blocked the first pass alone tells."""
    if len(choice.blocked) == len(choice.engines):
        return _title(choice.passes[:1], "Proven: nothing to be had in time would do")
    return _title(choice.passes, "Proven best")


def untold_section(untold: Sequence[str]) -> list[RenderableType]:
    """Return heading and lines of what would have been explained had there been time; nothing where nothing is left."""
    if not untold:
        return []
    return [heading("Not looked for, as time was over"), indented(Text("\n".join(untold)))]


def _title(passes: Sequence[PassResult], proven: str) -> str:
    return proven if all(result.proven for result in passes) else "Best found, not proven"


def _claim(result: PassResult, wording: Wording) -> str:
    if result.proven:
        return wording.proven
    gap = wording.write(result.value - result.bound)
    return f"at most {gap} from the best possible, after {result.seconds:.1f} s"


def _notes(passes: Sequence[PassResult]) -> list[RenderableType]:
    notes = ["Each line compares only answers that are as good on the lines above it."]
    if any(result.objective == "closeness" for result in passes):
        notes.append(DISTANCE_NOTE)
    return [indented(Text("\n".join(notes)))]
