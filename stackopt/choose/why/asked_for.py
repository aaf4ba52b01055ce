"""The gasket that nobody lists and that would free a blocked engine. Its thickness is found by solving it again."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterator, Sequence
from itertools import combinations_with_replacement, pairwise, product

from msgspec import Struct

from stackopt.choose.choice_records import Request
from stackopt.choose.stacks.fittable import usable_pieces
from stackopt.choose.stacks.ranges import Runs, joined
from stackopt.choose.stacks.sought import thickness_runs
from stackopt.choose.stacks.together import binds_cylinders
from stackopt.choose.why.blocked import commonest_mm
from stackopt.engine.engine_records import Cylinder, Engine
from stackopt.engine.geometry import circle_area_mm2
from stackopt.engine.levers.thickness import Gap, Range
from stackopt.parts.part_records import Kind, Part, Supply
from stackopt.parts.rules import may_go_on
from stackopt.parts.rules import opening_mm2 as opening_of
from stackopt.parts.sources import days_until, obtainable_parts, purchase_sources

ASKED_FOR = "asked for"
# Where cylinders are bound to each other: places tried between two ends, and how often an end is halved in on.
AMONG = 4
HALVINGS = 12


class WantedGasket(Struct, frozen=True):
    """A gasket to ask for: all runs of thickness that do, mm; of a head gasket the opening it needs, mm.

    `commonest_mm` is the commonest thickness inside the runs, None where no known part has one.
    """

    kind: Kind
    runs: Runs
    opening_mm: float
    commonest_mm: float | None = None

    def part(self, thickness_mm: float) -> Part:
        """Return it as a part of one thickness, mm."""
        opening_mm = self.opening_mm if self.kind is Kind.HEAD_GASKET else None
        return Part(ASKED_FOR, self.kind, thickness_mm=thickness_mm, opening_mm=opening_mm)

    @property
    def widest_mm(self) -> Range:
        """The widest of the runs, mm."""
        return max(self.runs, key=lambda run: run[1] - run[0])

    @property
    def middle(self) -> Part:
        """The part in the middle of the widest run."""
        return self.part(sum(self.widest_mm) / 2)


def gasket_asked_for(
    kind: Kind, request: Request, left: Supply, engine: Engine, frees: Callable[[Part], bool]
) -> WantedGasket | None:
    """Return the gasket of a kind with every run of thickness that frees an engine; None where none does.

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
    wanted = WantedGasket(kind, (), _opening_mm(left, engine))
    bound = binds_cylinders(engine)
    places = _places_mm(wanted, _own_runs(wanted, request, left, engine), among=AMONG if bound else 1)
    runs = joined(_runs(places, lambda thickness_mm: frees(wanted.part(thickness_mm)), refined=bound))
    same_kind = [part for part in left.parts.values() if part.kind is kind and part.fits_family(engine.family)]
    return WantedGasket(kind, runs, wanted.opening_mm, commonest_mm(same_kind, runs)) if runs else None


def _runs(places_mm: Sequence[float], frees: Callable[[float], bool], *, refined: bool) -> Iterator[Range]:
    """Yield the ranges in which every thickness frees the engine. A range may begin or end at each of the places given.

    Cylinders that are bound to each other may begin a range between two places; its end is then found by halving.
    """
    known = [(place, frees(place)) for place in places_mm]
    for (low, at_low), (high, at_high) in pairwise(known):
        if at_low and at_high and frees((low + high) / 2):
            yield low, high
        elif at_low:
            yield low, _last(low, high, frees) if refined else low
        elif at_high and refined:
            yield _last(high, low, frees), high
    if known and known[-1][1]:
        yield known[-1][0], known[-1][0]


def _last(good_mm: float, bad_mm: float, frees: Callable[[float], bool]) -> float:
    """Go from a thickness that frees to one that does not, and return the last that still frees."""
    for _ in range(HALVINGS):
        middle_mm = (good_mm + bad_mm) / 2
        good_mm, bad_mm = (middle_mm, bad_mm) if frees(middle_mm) else (good_mm, middle_mm)
    return good_mm


def _places_mm(wanted: WantedGasket, own: Runs, *, among: int) -> list[float]:
    """Return every end of the runs of single cylinders, mm, and places among them."""
    ends = sorted({end for run in own for end in run})
    places = set(ends)
    for low, high in pairwise(ends):
        places |= {low + (high - low) * part / among for part in range(1, among)}
    return sorted(round(place, 9) for place in places)


def _own_runs(wanted: WantedGasket, request: Request, left: Supply, engine: Engine) -> Runs:
    """Return the runs, mm, in which a cylinder keeps its own limits together with some piece that can be had."""
    numbers = obtainable_parts(left, purchase_sources(left), days_until(engine.due, request.today), request.today)
    fitted = {number for own in engine.pinned.values() for number in own}
    parts = [left.parts[number] for number in sorted((numbers | fitted) & left.parts.keys())]
    found: list[Range] = []
    for cylinder in engine.cylinders:
        for gap in _gaps(wanted, engine, cylinder, parts):
            found += thickness_runs(engine, cylinder, gap)
    return tuple(found)


def _gaps(wanted: WantedGasket, engine: Engine, cylinder: Cylinder, parts: Sequence[Part]) -> Iterator[Gap]:
    """Yield every stack of the pieces to be had in which a piece of the kind is sought."""
    bases, heads = usable_pieces(engine, cylinder, parts)
    if wanted.kind is Kind.HEAD_GASKET:
        opening_mm2 = circle_area_mm2(wanted.opening_mm)
        for base in bases:
            tolerances = tuple(part.tolerance_mm for part in base)
            yield Gap(True, sum(part.thickness_mm for part in base), 0.0, opening_mm2, tolerances)
        return
    for head, shims in product(heads, _shims(engine, cylinder, parts)):
        tolerances = tuple(part.tolerance_mm for part in (*shims, head))
        own_mm2 = opening_of(head, cylinder)
        yield Gap(False, sum(shim.thickness_mm for shim in shims), head.thickness_mm, own_mm2, tolerances)


def _shims(engine: Engine, cylinder: Cylinder, parts: Sequence[Part]) -> Iterator[tuple[Part, ...]]:
    """Yield the shims that may go above the one base gasket, none among them."""
    shims = [part for part in parts if part.kind is Kind.BASE_SHIM and may_go_on(part, engine, cylinder)]
    for count in range(engine.shims + 1):
        yield from combinations_with_replacement(shims, count)


def _opening_mm(left: Supply, engine: Engine) -> float:
    """Return the commonest opening, mm, of head gaskets that go on every cylinder; without any, the least allowed."""
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
