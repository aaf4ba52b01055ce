"""The columns in which engines are written, one row a cylinder; and the columns of every role together."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from datetime import date
from typing import NamedTuple

from stackopt.books.out.columns import DAY, OutColumn, Value
from stackopt.books.out.offers import OFFERS
from stackopt.books.out.parts import STOCK
from stackopt.books.out.terms import KITS, SERVICES, SUPPLIERS, USAGE
from stackopt.books.words.vocabulary import Role
from stackopt.engine.engine_records import Cylinder, Engine, Window


class Bored(NamedTuple):
    """One cylinder of an engine."""

    engine: Engine
    cylinder: Cylinder


def _window(
    name: str, unit: str, example: tuple[float, float, float], pick: Callable[[Cylinder], Window | None]
) -> Iterator[OutColumn[Bored]]:
    ends = (("min", "low", "Lower end"), ("max", "high", "Upper end"), ("aim", "aim", "What is wanted most"))
    for (title, end, what), shown in zip(ends, example, strict=True):
        note = f"{what} of the {name} window; empty where it is not asked for."
        yield OutColumn(f"{name} {title}{unit}", note, shown, _end_of(pick, end), True, "0.00")


def _end_of(pick: Callable[[Cylinder], Window | None], end: str) -> Callable[[Bored], Value]:
    def say(bored: Bored) -> Value:
        window = pick(bored.cylinder)
        value: float | None = None if window is None else getattr(window, end)
        return value

    return say


def _is_left_out(cylinder: Cylinder) -> bool:
    """Tell whether nobody stated the piston's volume."""
    return cylinder.stated is not None and not cylinder.stated.piston_volume


def _pinned(bored: Bored) -> Value:
    return ";".join(bored.engine.pinned.get(bored.cylinder.name, ())) or None


ENGINES: tuple[OutColumn[Bored], ...] = (
    OutColumn("engine", "Number of the engine or the job.", "HC-09", lambda bored: bored.engine.name),
    OutColumn("family", "Family code, as parts name it under fits.", "KV82", lambda bored: bored.engine.family),
    OutColumn("cylinder", "One row a cylinder: front, rear, left, right.", "front", lambda bored: bored.cylinder.name),
    OutColumn("bore (mm)", "Bore.", 82, lambda bored: bored.cylinder.bore_mm),
    OutColumn("stroke (mm)", "Stroke.", 78, lambda bored: bored.cylinder.stroke_mm),
    OutColumn(
        "deck (mm)",
        "From the cylinder's top face to the piston's flat at top dead centre, without a base gasket.",
        0.11,
        lambda bored: abs(bored.cylinder.deck_height_mm),
    ),
    OutColumn(
        "deck side",
        "proud: the flat stands above the cylinder's top face; below: under it.",
        "proud",
        lambda bored: "proud" if bored.cylinder.deck_height_mm < 0 else "below",
    ),
    OutColumn("rod length (mm)", "Centre to centre.", 150, lambda bored: bored.engine.rod_length_mm, False),
    OutColumn(
        "chamber volume (cc)",
        "Measured with a burette up to the gasket face.",
        50.2,
        lambda bored: bored.cylinder.chamber_volume_cc,
    ),
    OutColumn(
        "piston volume (cc)",
        "A dome positive, a dish negative; or 8 cc dish in words.",
        6.4,
        lambda bored: None if _is_left_out(bored.cylinder) else bored.cylinder.piston_volume_cc,
    ),
    OutColumn(
        "crevice volume (cc)",
        "Above the top ring.",
        None,
        lambda bored: bored.cylinder.crevice_volume_cc or None,
        False,
    ),
    OutColumn(
        "band recess",
        "Of the head's quench band from its gasket face, as 0.20 mm recessed or 0.10 mm proud; empty when flush.",
        None,
        lambda bored: _recess(bored.cylinder.band_recess_mm),
        False,
    ),
    *_window("quench", " (mm)", (0.76, 1.02, 0.89), lambda cylinder: cylinder.quench),
    OutColumn(
        "quench band",
        "no: the chamber has none; then quench stays empty.",
        None,
        lambda bored: "no" if bored.cylinder.quench is None else None,
        False,
    ),
    *_window("compression", "", (9.0, 10.0, 9.5), lambda cylinder: cylinder.compression),
    OutColumn(
        "match quench (mm)",
        "How far the cylinders may differ.",
        None,
        lambda bored: bored.engine.match.quench_mm,
        False,
    ),
    OutColumn(
        "match compression",
        "How far the cylinders' ratios may differ.",
        None,
        lambda bored: bored.engine.match.compression,
        False,
    ),
    OutColumn(
        "quench chance",
        "The least chance, 0 to 1, of landing in the quench window.",
        None,
        lambda bored: bored.engine.least_quench_chance,
        False,
    ),
    OutColumn("shims", "How many base shims may be fitted.", None, lambda bored: bored.engine.shims or None, False),
    OutColumn(
        "opening margin (mm)",
        "By how much the head gasket's opening must exceed the bore.",
        None,
        lambda bored: bored.engine.opening_margin_mm or None,
        False,
    ),
    OutColumn(
        "due", "The day by which every part must be here.", date(2027, 3, 19), lambda bored: bored.engine.due, True, DAY
    ),
    OutColumn("priority", "A whole number; empty for 1.", None, lambda bored: bored.engine.priority),
    OutColumn("pinned", "Parts fitted already, ; between them.", None, _pinned, False),
)


def _recess(recess_mm: float) -> Value:
    return f"{abs(recess_mm)!r} mm {'proud' if recess_mm < 0 else 'recessed'}" if recess_mm else None


COLUMNS: Mapping[Role, tuple[OutColumn, ...]] = {  # type: ignore[type-arg]  # each role has records of its own
    Role.STOCK: STOCK,
    Role.OFFERS: OFFERS,
    Role.SUPPLIERS: SUPPLIERS,
    Role.KITS: KITS,
    Role.ENGINES: ENGINES,
    Role.USAGE: USAGE,
    Role.SERVICES: SERVICES,
}
