"""Pieces in the hand are read as a builder names them."""

from __future__ import annotations

import pytest

from stackopt.choose.tried.hand import pieces_in_hand
from stackopt.engine.engine_records import Cylinder, Engine
from stackopt.parts.part_records import Kind, Part, Supply
from stackopt.problems import InputError

PARTS = {
    part.number: part
    for part in (
        Part("BG-020", Kind.BASE_GASKET, thickness_mm=0.508),
        Part("BG+1", Kind.BASE_GASKET, thickness_mm=0.4),
        Part("SH-1", Kind.BASE_SHIM, thickness_mm=0.1),
        Part("HG-050", Kind.HEAD_GASKET, thickness_mm=0.5, opening_mm=83.0),
    )
}
ENGINE = Engine("J-1", "A", (Cylinder("front", 82, 78, 0.0), Cylinder("rear", 82, 78, 0.1)))


def read(*named: str) -> dict[str, list[object]]:
    found = pieces_in_hand(ENGINE, Supply(PARTS), named)
    return {name: [piece and (piece.number, piece.thickness_mm) for piece in pieces] for name, pieces in found.items()}


def test_part_numbers_thicknesses_and_the_piece_that_is_sought():
    """0.020 in is 0.508 mm."""
    assert read("front=BG-020+0.45 mm", " Rear = 0.020in + ?") == {
        "front": [("BG-020", 0.508), ("0.45 mm", 0.45)],
        "rear": [("0.020in", 0.508), None],
    }
    assert read("front=BG+1+SH-1+HG-050") == {"front": [("BG+1", 0.4), ("SH-1", 0.1), ("HG-050", 0.5)]}


@pytest.mark.parametrize(
    ("named", "said"),
    [
        (("BG-020+HG-050",), "expected CYLINDER=BASE+HEAD"),
        (("left=BG-020+HG-050",), "the name of a cylinder of J-1 before the = sign: front, rear"),
        (("front=BG-020",), "expected CYLINDER=BASE+HEAD"),
        (("front=?+?",), "one piece at most is sought"),
        (("front=BG-02+HG-050",), "The nearest known: BG-020"),
        (("front=BG-020+0.45",), "Write the unit behind the number"),
        (("front=BG-020+45 mm",), "a gasket thickness between 0.01 and 5 mm"),
        (("front=HG-050+BG-020",), "HG-050 is a head gasket"),
        (("front=BG-020+?", "Front=BG-020+HG-050"), "each cylinder once"),
    ],
)
def test_what_cannot_be_read_is_told(named, said):
    with pytest.raises(InputError) as error:
        read(*named)
    assert said in str(error.value)
