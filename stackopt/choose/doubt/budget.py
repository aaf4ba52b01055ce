"""The budget of uncertainty: how much of the doubt each input makes, and which further reading would help most.

Shares are those of the variance (JCGM 100:2008, eq. 10, and the table of an uncertainty budget as in its H.1).
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

import numpy as np
from msgspec import Struct
from msgspec.structs import replace

from stackopt.choose.choice_records import FittedCylinder
from stackopt.choose.stacks.worked import as_worked, gaskets_of
from stackopt.engine.engine_records import Cylinder
from stackopt.engine.geometry import MM3_PER_CC, circle_area_mm2, clearance_volume_cc
from stackopt.engine.readings.spread import quench_error
from stackopt.parts.lots import MICROMETER_MM
from stackopt.parts.part_records import Kind, Part
from stackopt.parts.rules import opening_mm2, tolerance_mm

# What is less of the variance than this is not worth a line.
LEAST_SHARE = 0.005


class DoubtShare(Struct, frozen=True):
    """An input, and its share of the variance, 0 to 1."""

    input: str
    share: float


class Help(Struct, frozen=True):
    """A further reading, and the half-width of the quench's 95 % interval before and after it, mm."""

    reading: str
    before_mm: float
    after_mm: float


class Budget(Struct, frozen=True):
    """Shares of the doubt in quench and ratio, largest first, and the reading that would narrow the quench most."""

    quench: tuple[DoubtShare, ...]
    ratio: tuple[DoubtShare, ...]
    helps_most: Help | None


def cylinder_budget(measured: Cylinder, fitted: FittedCylinder, parts: Mapping[str, Part]) -> Budget:
    """Return the budget of one cylinder as chosen; empty where nothing is known."""
    pieces = [parts[piece.part] for piece in fitted.pieces]
    cylinder, gaskets = as_worked(measured, fitted.work, pieces), gaskets_of(pieces)
    ratio = () if cylinder.chamber_volume_cc is None else _shares(_ratio_parts(cylinder, gaskets))
    return Budget(_shares(_quench_parts(cylinder, gaskets)), ratio, _helps_most(cylinder, gaskets))


def _quench_parts(cylinder: Cylinder, gaskets: Sequence[Part]) -> Iterator[tuple[str, float]]:
    """Yield inputs and what each adds to the variance of the quench, mm²."""
    yield "deck readings", cylinder.spread.deck_mm**2
    yield "band recess", cylinder.spread.recess_mm**2
    for part in gaskets:
        yield str(part.kind), tolerance_mm(part, cylinder) ** 2 / 3


def _ratio_parts(cylinder: Cylinder, gaskets: Sequence[Part]) -> Iterator[tuple[str, float]]:
    """Yield inputs and what each adds to the variance of the clearance volume, cm⁶; the ratio follows it."""
    spread, bore_cc = cylinder.spread, circle_area_mm2(cylinder.bore_mm) / MM3_PER_CC
    head_opening_mm2 = opening_mm2(gaskets[-1], cylinder)
    base_mm = sum(part.thickness_mm for part in gaskets[:-1])
    clearance_cc = clearance_volume_cc(cylinder, base_mm, gaskets[-1].thickness_mm, head_opening_mm2)
    in_bore_cc = bore_cc * (cylinder.deck_height_mm + base_mm)
    yield "deck readings", (spread.deck_mm * bore_cc) ** 2
    yield "chamber volume", spread.chamber_cc**2
    yield "piston volume", spread.piston_cc**2
    yield "bore", (2 * spread.bore_mm / cylinder.bore_mm * (in_bore_cc - float(clearance_cc))) ** 2
    for part in gaskets:
        area_cc = head_opening_mm2 / MM3_PER_CC if part.kind is Kind.HEAD_GASKET else bore_cc
        yield str(part.kind), (tolerance_mm(part, cylinder) * area_cc) ** 2 / 3


def _shares(parts: Iterator[tuple[str, float]]) -> tuple[DoubtShare, ...]:
    variances: dict[str, float] = {}
    for name, variance in parts:
        variances[name] = variances.get(name, 0.0) + variance
    whole = sum(variances.values())
    shares = [
        DoubtShare(name, variance / whole) for name, variance in variances.items() if variance > LEAST_SHARE * whole
    ]
    return tuple(sorted(shares, key=lambda one: -one.share))


def _helps_most(cylinder: Cylinder, gaskets: Sequence[Part]) -> Help | None:
    """Return the reading after which the quench's interval is narrowest; None where none narrows it.

    None too where the scatter of the deck is not known. The deck must be read first, and its effect is not known yet.
    """
    if not cylinder.spread.deck_mm:
        return None
    tolerances_mm = [tolerance_mm(part, cylinder) for part in gaskets]
    before_mm = _reach_mm(cylinder, tolerances_mm)
    helps = [Help(name, before_mm, _reach_mm(*then)) for name, then in _readings(cylinder, gaskets, tolerances_mm)]
    narrower = [one for one in helps if one.after_mm < one.before_mm]
    return min(narrower, key=lambda one: one.after_mm, default=None)


def _readings(
    cylinder: Cylinder, gaskets: Sequence[Part], tolerances_mm: Sequence[float]
) -> Iterator[tuple[str, tuple[Cylinder, list[float]]]]:
    """Yield each further reading with the cylinder and the tolerances as they would be after it.

    Reading the deck again, as often as before, halves the variance of its scatter; errors that all readings share stay.
    A gasket is measured crushed.
    """
    spread = cylinder.spread
    of_limits_mm2 = sum(limit**2 for limit in spread.deck_limits_mm) / 3
    again = replace(spread, deck_mm=float(np.sqrt((spread.deck_mm**2 + of_limits_mm2) / 2)))
    yield "read the deck again", (replace(cylinder, spread=again), list(tolerances_mm))
    for kind in dict.fromkeys(part.kind for part in gaskets):
        measured_mm = [
            min(own_mm, MICROMETER_MM) if part.kind is kind else own_mm
            for part, own_mm in zip(gaskets, tolerances_mm, strict=True)
        ]
        yield f"measure {kind}", (cylinder, measured_mm)


def _reach_mm(cylinder: Cylinder, tolerances_mm: Sequence[float]) -> float:
    error = quench_error(cylinder, np.array([tolerances_mm]))
    return float(error.half_interval()[0]) if error.standard_uncertainty[0] else 0.0
