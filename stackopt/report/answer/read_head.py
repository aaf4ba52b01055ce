"""What was read, at the head of an answer: one line a cylinder, as it was written, so that a slip shows at a glance."""

from __future__ import annotations

from collections.abc import Callable, Iterator

from rich.console import RenderableType
from rich.text import Text

from stackopt.engine.cautions import Units
from stackopt.engine.engine_records import Cylinder, Engine
from stackopt.engine.readings.deck import crown_words
from stackopt.engine.stated import Ends, Stated
from stackopt.report.answer.read_document import side_of, stated_of
from stackopt.report.layout import heading, indented, table
from stackopt.units import MM_PER_INCH


def read_section(engine: Engine, units: Units) -> list[RenderableType]:
    """Return heading, a line a cylinder, and the windows."""
    columns = [(head, show) for head, show in _COLUMNS if head in ALWAYS_SHOWN or _any_written(engine, head)]
    laid = table("cylinder", *(head for head, _ in columns))
    for cylinder in engine.cylinders:
        laid.add_row(cylinder.name, *(show(cylinder, stated_of(cylinder), units) for _, show in columns))
    return [
        heading(f"What was read of {engine.name}"),
        indented(laid),
        indented(Text("\n".join(_windows(engine, units)))),
    ]


def _any_written(engine: Engine, measure: str) -> bool:
    return any(measure in stated_of(cylinder).written for cylinder in engine.cylinders)


def _deck(cylinder: Cylinder, stated: Stated, units: Units) -> str:
    own = _length(abs(cylinder.deck_height_mm), units, 3)
    return stated.written.get("deck") or f"{own} {side_of(cylinder, stated)}".strip()


def _bore(cylinder: Cylinder, stated: Stated, units: Units) -> str:
    return stated.written.get("bore") or _length(cylinder.bore_mm, units, 2)


def _stroke(cylinder: Cylinder, stated: Stated, units: Units) -> str:
    return stated.written.get("stroke") or _length(cylinder.stroke_mm, units, 2)


def _chamber(cylinder: Cylinder, stated: Stated, _: Units) -> str:
    if cylinder.chamber_volume_cc is None:
        return "not stated"
    return stated.written.get("chamber volume") or f"{cylinder.chamber_volume_cc:.4g} cc"


def _piston(cylinder: Cylinder, stated: Stated, _: Units) -> str:
    return crown_words(cylinder.piston_volume_cc) if stated.piston_volume else "not stated: 0 cc"


def _band(_: Cylinder, stated: Stated, __: Units) -> str:
    return stated.written.get("band recess", "flush")


def _crevice(_: Cylinder, stated: Stated, __: Units) -> str:
    return stated.written.get("crevice volume", "not stated")


_COLUMNS: tuple[tuple[str, Callable[[Cylinder, Stated, Units], str]], ...] = (
    ("deck", _deck),
    ("bore", _bore),
    ("stroke", _stroke),
    ("chamber", _chamber),
    ("piston", _piston),
    ("band recess", _band),
    ("crevice volume", _crevice),
)
ALWAYS_SHOWN = frozenset(head for head, _ in _COLUMNS) - {"band recess", "crevice volume"}


def _windows(engine: Engine, units: Units) -> Iterator[str]:
    """Yield the rod where it counts, and the windows in words: once where all cylinders have the same."""
    rod_mm = engine.rod_length_mm
    if rod_mm is not None and any(one.intake or one.running for one in engine.cylinders):
        yield f"rod {rod_mm:g} mm" if units is Units.MM else f"rod {rod_mm / MM_PER_INCH:.4g} in"
    said = [(cylinder.name, _window_words(cylinder, units)) for cylinder in engine.cylinders]
    for words in dict.fromkeys(words for _, words in said):
        names = [name for name, own in said if own == words]
        yield words if len(names) == len(said) else f"{' and '.join(names)}: {words}"


def _window_words(cylinder: Cylinder, units: Units) -> str:
    stated = stated_of(cylinder)
    scale, unit, decimals = (1.0, "mm", 2) if units is Units.MM else (MM_PER_INCH, "in", 3)
    quench = "no quench band" if cylinder.quench is None else "quench window not stated"
    if stated.quench_mm is not None:
        quench = f"quench {_ends_words(stated.quench_mm, scale, decimals, unit)}"
    ratio = "no ratio window" if stated.compression is None else f"ratio {_ends_words(stated.compression, 1.0, 2, '')}"
    return f"{quench}; {ratio}"


def _ends_words(ends: Ends, scale: float, decimals: int, unit: str) -> str:
    low, aim, high = (None if end is None else f"{end / scale:.{decimals}f}" for end in ends)
    span = f"{low} to {high}" if low and high else f"at least {low}" if low else f"at most {high}"
    return f"{span} {unit}".strip() + (f", aim {aim}" if aim else "")


def _length(length_mm: float, units: Units, decimals: int) -> str:
    if units is Units.MM:
        return f"{length_mm:.{decimals}f} mm"
    return f"{length_mm / MM_PER_INCH:.{decimals + 1}f} in"
