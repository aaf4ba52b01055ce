"""The gasket that nobody lists and that would free a blocked engine: of which thickness, found by solving it again."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Callable, Iterator
from itertools import pairwise

from msgspec import Struct

from stackopt.choose.records import Request
from stackopt.choose.stacks.fittable import usable_pieces
from stackopt.engine.effects.limits import LIMITS
from stackopt.engine.effects.remedies import Range, base_thickness_range_mm, head_thickness_range_mm
from stackopt.engine.geometry import circle_area_mm2
from stackopt.engine.records import Engine
from stackopt.parts.records import Kind, Part, Supply
from stackopt.parts.rules import may_go_on, opening_mm2
from stackopt.parts.sources import days_until, obtainable_parts, purchase_sources

ASKED_FOR = "asked for"
# Beyond these nobody makes a gasket.
MADE_MM = LIMITS["gasket thickness"][:2]


class Wanted(Struct, frozen=True):
    """A gasket to ask for: anything between two thicknesses, mm; of a head gasket the opening it needs, mm."""

    kind: Kind
    thickness_mm: Range
    opening_mm: float

    def part(self, thickness_mm: float) -> Part:
        """Return it as a part of one thickness, mm."""
        opening_mm = self.opening_mm if self.kind is Kind.HEAD_GASKET else None
        return Part(ASKED_FOR, self.kind, thickness_mm=thickness_mm, opening_mm=opening_mm)

    @property
    def open_range_mm(self) -> Range:
        """The range, mm, from nought or to infinity where nothing but what can be made limits it."""
        low, high = self.thickness_mm
        return 0.0 if low <= MADE_MM[0] else low, math.inf if high >= MADE_MM[1] else high

    @property
    def middle(self) -> Part:
        """The part in the middle of the range."""
        return self.part(sum(self.thickness_mm) / 2)


def gasket_asked_for(
    kind: Kind, request: Request, left: Supply, engine: Engine, frees: Callable[[Part], bool]
) -> Wanted | None:
    """Return the gasket of a kind with the widest range of thickness that frees an engine; None where none does.

    Parameters
    ----------
    kind
        Base gasket or head gasket.
    request, left
        What was asked, and what there is for this engine.
    engine
        The blocked engine.
    frees
        Solves the engine with plenty of a part, and tells whether it can be finished.
    """
    wanted, runs = asked_for_runs(kind, request, left, engine, frees)
    widest = max(runs, key=lambda run: run[1] - run[0], default=None)
    return None if widest is None else Wanted(kind, widest, wanted.opening_mm)


def asked_for_runs(
    kind: Kind, request: Request, left: Supply, engine: Engine, frees: Callable[[Part], bool]
) -> tuple[Wanted, list[Range]]:
    """Return the gasket of a kind to ask for, and every run of thicknesses that frees an engine, mm, thinnest first.

    The parameters are those of `gasket_asked_for`.
    """
    wanted = Wanted(kind, MADE_MM, _opening_mm(left, engine))
    ends = _ends_mm(wanted, request, left, engine)
    return wanted, list(_runs(ends, lambda thickness_mm: frees(wanted.part(thickness_mm))))


def _runs(ends_mm: list[float], frees: Callable[[float], bool]) -> Iterator[Range]:
    """Yield the ranges in which every thickness frees: tried at all places where a window begins or ends, and between.

    Between two of these the same pairs of pieces land in the windows.
    """
    run: Range | None = None
    for low, high in pairwise(ends_mm):
        if all(frees(thickness_mm) for thickness_mm in (low, (low + high) / 2, high)):
            run = (low if run is None else run[0]), high
        elif run is not None:
            yield run
            run = None
    if run is not None:
        yield run


def _ends_mm(wanted: Wanted, request: Request, left: Supply, engine: Engine) -> list[float]:
    """Return the thicknesses, mm, at which a cylinder begins or ends to land beside one of the pieces to be had."""
    numbers = obtainable_parts(left, purchase_sources(left), days_until(engine.due, request.today))
    fitted = {number for own in engine.pinned.values() for number in own}
    parts = [left.parts[number] for number in sorted((numbers | fitted) & left.parts.keys())]
    ranges: list[Range | None] = []
    for cylinder in engine.cylinders:
        bases, heads = usable_pieces(engine, cylinder, parts)
        if wanted.kind is Kind.HEAD_GASKET:
            thickness = {sum(part.thickness_mm for part in base) for base in bases}
            opening = circle_area_mm2(wanted.opening_mm)
            ranges += [head_thickness_range_mm(cylinder, base_mm, opening) for base_mm in thickness]
        else:
            pairs = {(head.thickness_mm, opening_mm2(head, cylinder)) for head in heads}
            ranges += [base_thickness_range_mm(cylinder, *pair) for pair in pairs]
    ends = {min(max(end, MADE_MM[0]), MADE_MM[1]) for found in ranges if found is not None for end in found}
    return sorted({round(end, 9) for end in ends})


def _opening_mm(left: Supply, engine: Engine) -> float:
    """Return the opening, mm, that most head gaskets have that go on every cylinder; else the least that may."""
    openings = Counter(
        part.opening_mm
        for part in left.parts.values()
        if part.kind is Kind.HEAD_GASKET
        and part.opening_mm is not None
        and all(may_go_on(part, engine, cylinder) for cylinder in engine.cylinders)
    )
    if openings:
        return min(openings, key=lambda opening: (-openings[opening], opening))
    return max(cylinder.bore_mm for cylinder in engine.cylinders) + engine.opening_margin_mm
