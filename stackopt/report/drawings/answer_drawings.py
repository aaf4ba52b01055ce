"""The drawings of an answer: section and map of each cylinder of an engine, the calendar of a plan."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from datetime import date, timedelta

from msgspec import Struct

from stackopt.choose.choice_records import FittedCylinder, FittedEngine
from stackopt.choose.doubt.intervals import cylinder_intervals
from stackopt.choose.stacks.at_hand import pairs_at_hand
from stackopt.choose.stacks.worked import as_worked, gaskets_of
from stackopt.choose.why.explain import Answer
from stackopt.engine.engine_records import Cylinder, Engine
from stackopt.parts.part_records import Kind, Part, Supply
from stackopt.report.drawings.calendar import CalendarLine, calendar
from stackopt.report.drawings.section import DrawnStack, section
from stackopt.report.drawings.shapes import Drawing
from stackopt.report.drawings.stack_map import Mapped, MapSpot, stack_map


def section_of(measured: Cylinder, fitted: FittedCylinder, parts: Mapping[str, Part]) -> Drawing:
    """Return the section of one cylinder with what was chosen for it."""
    pieces = [parts[piece.part] for piece in fitted.pieces]
    base, head = _split(gaskets_of(pieces))
    return section(
        DrawnStack(as_worked(measured, fitted.work, pieces), *_named(base), *_named(head)),
    )


class Ground(Struct, frozen=True):
    """What a map is drawn from: what there is, and the day from which deliveries are counted."""

    supply: Supply
    today: date


def map_of(
    engine: Engine, index: int, ground: Ground, chosen: FittedCylinder | None, tried: MapSpot | None = None
) -> Drawing:
    """Return the map of one cylinder, counted from 0, with what was chosen for it and what is tried beside it."""
    supply = ground.supply
    pieces = [] if chosen is None else [supply.parts[piece.part] for piece in chosen.pieces]
    cylinder = engine.cylinders[index] if chosen is None else as_worked(engine.cylinders[index], chosen.work, pieces)
    heads = [piece for piece in pieces if piece.kind is Kind.HEAD_GASKET]
    return stack_map(
        Mapped(
            cylinder,
            pairs_at_hand(engine, index, supply, ground.today),
            None if chosen is None else _spot(engine.cylinders[index], chosen, supply.parts),
            tried,
            heads[0].opening_mm2 if heads else None,
        )
    )


def _spot(measured: Cylinder, fitted: FittedCylinder, parts: Mapping[str, Part]) -> MapSpot:
    base, head = _split(gaskets_of([parts[piece.part] for piece in fitted.pieces]))
    known = cylinder_intervals(measured, fitted, parts).quench
    doubt_mm = 0.0 if known is None else (known.high - known.low) / 2
    (base_name, base_mm), (head_name, head_mm) = _named(base), _named(head)
    return MapSpot(f"{base_name} + {head_name}", base_mm, head_mm, doubt_mm)


def _split(gaskets: Sequence[Part]) -> tuple[list[Part], list[Part]]:
    """Part the pieces below the cylinder from the one above it."""
    heads = [part for part in gaskets if part.kind is Kind.HEAD_GASKET]
    return [part for part in gaskets if part.kind is not Kind.HEAD_GASKET], heads


def _named(pieces: Sequence[Part]) -> tuple[str, float]:
    return " + ".join(piece.number for piece in pieces), sum(piece.thickness_mm for piece in pieces)


def calendar_of(answer: Answer) -> Drawing:
    """Return the calendar of a plan: when each engine's parts are here, and what it gets."""
    today = answer.request.today
    return calendar(
        [
            CalendarLine(
                engine.name,
                None if fitted.blocked else today + timedelta(days=fitted.wait_days),
                engine.due,
                _gets(fitted),
            )
            for engine, fitted in answer.pairs()
        ],
        today,
    )


def _gets(fitted: FittedEngine) -> str:
    if fitted.blocked:
        return "blocked: nothing that fits can be had in time"
    each = [f"{one.cylinder} {' + '.join(piece.part for piece in one.pieces)}" for one in fitted.cylinders]
    return "; ".join(each)


def answer_drawings(answer: Answer) -> Iterator[Drawing]:
    """Yield what is drawn of an answer: section and map of each cylinder of one engine, the calendar of several."""
    if len(answer.request.engines) > 1:
        yield calendar_of(answer)
        return
    for engine, fitted in answer.pairs():
        for index, measured in enumerate(engine.cylinders):
            chosen = None if fitted.blocked else fitted.cylinders[index]
            if chosen is not None:
                yield section_of(measured, chosen, answer.supply.parts)
            yield map_of(engine, index, Ground(answer.supply, answer.request.today), chosen)
