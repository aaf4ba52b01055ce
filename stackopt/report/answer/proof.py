"""What was proven, in plain words: one line for each objective, in the order they counted."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from msgspec import Struct
from rich.console import RenderableType
from rich.text import Text

from stackopt.choose.records import Choice, PassResult
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


WORDINGS: dict[str, Wording] = {
    "blocked": Wording(
        "engines blocked, by priority", _whole, "it cannot be fewer", "blocks {} more", "blocks {} fewer"
    ),
    "special-orders": Wording(
        "special orders", _whole, "it cannot be fewer", "special orders: {} more", "special orders: {} fewer"
    ),
    "orders": Wording(
        "suppliers ordered from", _whole, "it cannot be fewer", "suppliers: {} more", "suppliers: {} fewer"
    ),
    "spend": Wording("money paid now", _cents, "nothing else costs less", "costs {} more", "costs {} less"),
    "wait": Wording("waiting", _days, "nothing else is here sooner", "is here {} later", "is here {} sooner"),
    "closeness": Wording(
        "distance from the aims *", _three_decimals, "nothing else is closer", "{} further off *", "{} closer *"
    ),
    "chance": Wording(
        "chance to miss a window, summed",
        _three_decimals,
        "nothing else lands more surely",
        "{} more chance to miss",
        "{} less chance to miss",
    ),
    "metal": Wording("metal cut off", _millimetres, "nothing else cuts less", "cuts {} more", "cuts {} less"),
    "changes": Wording(
        "pieces other than in the previous plan",
        _whole,
        "nothing else keeps more",
        "{} more pieces changed",
        "{} fewer pieces changed",
    ),
    "shelf-value": Wording(
        "worth of what leaves the shelf",
        _cents,
        "nothing else takes less",
        "takes {} more off the shelf",
        "takes {} less off the shelf",
    ),
}
DISTANCE_NOTE = (
    "* Counted in half-widths of the windows, over all cylinders, quench and ratio: 0 is on every aim, 1 is one "
    "value at the edge of its window."
)


def proof_table(choice: Choice) -> list[RenderableType]:
    """Return heading, table and reading note of what each pass reached and what its bound proves."""
    if len(choice.blocked) == len(choice.engines):
        return [heading(_title(choice.passes[:1], "Proven: nothing to be had in time would do"))]
    laid = table("what counts, in this order", "reached", "proof", right=("reached",))
    for result in choice.passes:
        wording = WORDINGS[result.objective]
        laid.add_row(wording.measure, wording.write(result.value), _claim(result, wording))
    return [heading(_title(choice.passes, "Proven best")), indented(laid), Text(""), *_notes(choice.passes)]


def _title(passes: Sequence[PassResult], proven: str) -> str:
    return proven if all(result.proven for result in passes) else "Best found, not proven"


def _claim(result: PassResult, wording: Wording) -> str:
    if result.proven:
        return wording.proven
    gap = wording.write(result.value - result.bound)
    return f"at most {gap} from the best possible, after {result.seconds:.1f} s"


def _notes(passes: Sequence[PassResult]) -> list[RenderableType]:
    notes = ["Each line holds among the answers that are as good on the lines above it."]
    if any(result.objective == "closeness" for result in passes):
        notes.append(DISTANCE_NOTE)
    return [indented(Text("\n".join(notes)))]
