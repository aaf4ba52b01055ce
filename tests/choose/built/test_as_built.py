"""What a measured quench says about the pieces of a stack."""

from __future__ import annotations

import math

import pytest
from msgspec.structs import replace

from stackopt.choose.built.as_built import thickness_measurement
from stackopt.choose.built.build import Chosen
from stackopt.choose.choice_records import FittedCylinder, FittedEngine, Piece, Status, Work
from stackopt.engine.engine_records import Cylinder, Engine, Spread
from stackopt.engine.levers.lever import Lever
from stackopt.parts.part_records import Kind, Part

BASE = Part("BG", Kind.BASE_GASKET, thickness_mm=0.40, covers=2)
HEAD = Part("HG", Kind.HEAD_GASKET, thickness_mm=0.50)
SHIM = Part("SH", Kind.BASE_SHIM, thickness_mm=0.10)
PIECES = (
    Piece("BG", Kind.BASE_GASKET),
    Piece("SH", Kind.BASE_SHIM),
    Piece("SH", Kind.BASE_SHIM),
    Piece("HG", Kind.HEAD_GASKET),
)


EXACT = Spread()


def chosen(spread: Spread = EXACT) -> Chosen:
    cylinders = tuple(
        Cylinder(side, 92.0, 78.0, -0.11, band_recess_mm=0.05, spread=spread) for side in ("left", "right")
    )
    fitted = tuple(FittedCylinder(side, PIECES, 1.04, None, 1.0, 0.0) for side in ("left", "right"))
    engine = Engine("J-104", "A", cylinders)
    return Chosen(engine, FittedEngine("J-104", fitted), (BASE, HEAD, SHIM), Status.PROVEN, ())


def test_the_pieces_are_what_the_quench_leaves_of_deck_and_recess() -> None:
    """q = d + pieces + r: 1.06 = -0.11 + 1.12 + 0.05."""
    measurement = thickness_measurement(chosen(), "right", (1.05, 1.07))
    assert measurement.thickness_mm == pytest.approx(1.12)
    assert measurement.pieces == {"BG": 1, "SH": 2, "HG": 1}
    assert measurement.shared == {"BG"}
    assert measurement.engine == "J-104"


def test_its_uncertainty_is_that_of_the_reading_the_deck_and_the_recess() -> None:
    """One place: 0.025; with deck 0.02 and recess 0.01 in root sum of squares (JCGM 100:2008, 5.1.2)."""
    assert thickness_measurement(chosen(), "left", (1.05,)).deviation_mm == pytest.approx(0.025)
    spread = Spread(deck_mm=0.02, recess_mm=0.01)
    together = thickness_measurement(chosen(spread), "left", (1.05,)).deviation_mm
    assert together == pytest.approx(math.sqrt(0.025**2 + 0.02**2 + 0.01**2))


def test_several_places_tell_more_unless_they_disagree() -> None:
    """s/√n (JCGM 100:2008, 4.2.3); close agreement of few places is not taken for more than the usual."""
    assert thickness_measurement(chosen(), "left", (1.05,) * 4).deviation_mm == pytest.approx(0.025 / 2)
    apart = thickness_measurement(chosen(), "left", (1.00, 1.10)).deviation_mm
    assert apart == pytest.approx(0.1 / math.sqrt(2) / math.sqrt(2))


def test_what_was_cut_and_another_piston_are_not_taken_for_the_pieces() -> None:
    """q = d − cut − rise + pieces + r: 1.06 = −0.11 − 0.08 − 0.20 + 1.40 + 0.05, of which the gaskets are 1.40 mm."""
    piston = Part("PS", Kind.PISTON, crown_volume_cc=3.0, compression_height_mm=30.20)
    plain = chosen()
    cylinders = tuple(replace(one, compression_height_mm=30.0) for one in plain.engine.cylinders)
    fitted = tuple(
        replace(one, pieces=(Piece("PS", Kind.PISTON), *PIECES), work=(Work(Lever.DECK_CUT, 0.08),))
        for one in plain.fitted.cylinders
    )
    worked = replace(
        plain,
        engine=replace(plain.engine, cylinders=cylinders),
        fitted=replace(plain.fitted, cylinders=fitted),
        parts=(*plain.parts, piston),
    )
    measurement = thickness_measurement(worked, "right", (1.06,))
    assert measurement.thickness_mm == pytest.approx(1.40)
    assert measurement.pieces == {"BG": 1, "SH": 2, "HG": 1}


def test_a_piece_whose_thickness_is_known_is_taken_off_and_not_learned() -> None:
    """A plain thickness of 0.50 mm lies on top: 1.12 − 0.50 = 0.62 is left for base and shims, its doubt with it."""
    plain = replace(HEAD, plain=True, tolerance_mm=0.01)
    of_plain = thickness_measurement(replace(chosen(), parts=(BASE, plain, SHIM)), "right", (1.05, 1.07))
    assert of_plain.thickness_mm == pytest.approx(0.62)
    assert of_plain.pieces == {"BG": 1, "SH": 2}
    as_listed = thickness_measurement(chosen(), "right", (1.05, 1.07))
    assert of_plain.deviation_mm == pytest.approx(math.hypot(as_listed.deviation_mm, 0.01 / math.sqrt(3)))
