"""What the builder holds in his hand, printed and as JSON; and which head gasket each base needs."""

from __future__ import annotations

import json

from msgspec.structs import replace
from rich.console import Console

from stackopt.choose.tried.heads import HeadNeeded
from stackopt.choose.tried.stacks import NEEDED, Needs, Tried
from stackopt.engine.cautions import Units
from stackopt.engine.effects.figures import Figure
from stackopt.parts.part_records import Kind, Part
from stackopt.report.answer.tried import heads_section, listed_words, tried_rows, tried_section
from stackopt.report.answer.tried_document import head_document, tried_document
from stackopt.report.layout import captured_text
from tests.report.answers import PARTS

VALVE = Figure("intake valve to piston", 1.54, "mm", "at least 2 mm", False, False)
DOES = Tried("front", (PARTS["B40"], PARTS["H60"]), 0.70, 9.52, 0.974, 0.1, (), (), free=True)
FAILS = replace(
    DOES,
    cylinder="rear",
    pieces=(PARTS["B40"], Part("0.5 mm", Kind.HEAD_GASKET, thickness_mm=0.5, plain=True)),
    figures=(VALVE,),
    broken=("the quench lies 0.06 mm below its window", "valve to piston"),
    free=False,
    compression_ratio=None,
    left_out=("the rod",),
)
NEEDS = Needs(Kind.HEAD_GASKET, 0.635, ((0.55, 0.70), (0.80, 0.85)), (PARTS["H60"],), 83.0)
SOUGHT = replace(
    DOES, pieces=(PARTS["B40"], Part(NEEDED, Kind.HEAD_GASKET, thickness_mm=0.635)), needs=NEEDS, chance_in_window=None
)


def laid(section) -> list[str]:
    text = captured_text(Console(width=200, highlight=False), [section])
    return [" ".join(line.split()) for line in text.splitlines()]


def test_a_stack_that_does_says_its_pieces_and_what_comes_out() -> None:
    """0.70 mm is 0.0276 in, printed 0.028."""
    assert list(tried_rows(DOES, PARTS)) == [
        ("base gasket", "B40, 0.40 mm"),
        ("head gasket", "H60, 0.60 mm"),
        ("quench", "0.700 mm, 0.028 in"),
        ("ratio", "9.52"),
        ("chance", "97 of 100 (an estimate)"),
        ("does it do", "yes, inside all limits"),
        ("on the shelf", "all of it is free"),
    ]


def test_a_stack_that_fails_says_every_limit_and_a_plain_thickness_has_no_number() -> None:
    assert list(tried_rows(FAILS, PARTS))[1:] == [
        ("head gasket", "0.50 mm"),
        ("quench", "0.700 mm, 0.028 in"),
        ("ratio", "not known"),
        ("chance", "97 of 100 (an estimate; left out: the rod)"),
        ("intake valve to piston", "1.540 mm, at least 2 mm"),
        ("does it do", "no: the quench lies 0.06 mm below its window"),
        ("", "valve to piston"),
        ("on the shelf", "not all of it is free there"),
    ]


def test_a_piece_that_is_sought_says_the_aim_the_runs_and_who_has_it() -> None:
    """0.635 mm is 0.025 in; whether a piece that is sought lies on the shelf is no question."""
    rows = dict(tried_rows(SOUGHT, PARTS))
    assert rows["head gasket"] == f"{NEEDED}, 0.635 mm"
    assert rows["head gasket for the aim"] == "0.635 mm, 0.025 in"
    assert rows["inside all limits"] == "0.55 to 0.70 mm or 0.80 to 0.85 mm"
    assert rows["on the shelf or offered"] == "H60, 0.60 mm"
    assert rows["chance"] == "not known"
    assert "on the shelf" not in rows


def test_a_gap_that_nothing_fills_says_none() -> None:
    nothing = replace(
        SOUGHT,
        quench_mm=None,
        needs=replace(NEEDS, aim_mm=None, inside_mm=(), listed=()),
        broken=("no thickness lands on the aim",),
    )
    assert list(tried_rows(nothing, PARTS))[2:] == [
        ("head gasket for the aim", "none"),
        ("inside all limits", "none"),
        ("on the shelf or offered", "nobody lists one"),
        ("does it do", "no: no thickness lands on the aim"),
    ]


def test_inches_are_rounded_inwards_too() -> None:
    """0.55, 0.70, 0.80 and 0.85 mm are 0.02165, 0.02756, 0.03150 and 0.03346 in."""
    rows = dict(tried_rows(SOUGHT, PARTS, Units.INCH))
    assert rows["inside all limits"] == "0.0217 to 0.0275 in or 0.0315 to 0.0334 in"


def test_three_parts_are_named_and_the_rest_counted() -> None:
    parts = tuple(replace(PARTS["H60"], number=f"H{number}") for number in range(1, 6))
    assert listed_words(replace(NEEDS, listed=parts[:3])) == "H1, 0.60 mm; H2, 0.60 mm; H3, 0.60 mm"
    assert listed_words(replace(NEEDS, listed=parts)).endswith("H3, 0.60 mm; 2 more")


def test_each_cylinder_in_the_hand_is_named_once() -> None:
    said = laid(tried_section((DOES, FAILS), PARTS))
    assert said[0] == "What you hold in your hand"
    assert [line.split()[0] for line in said if "base gasket B40" in line] == ["front", "rear"]
    assert sum(line.startswith("front") for line in said) == 1
    assert tried_section((), PARTS) == []


def test_every_base_says_the_head_gasket_that_it_needs() -> None:
    heads = (
        HeadNeeded("front", ("B40",), NEEDS),
        HeadNeeded("front", ("B40", "S10"), replace(NEEDS, aim_mm=None, inside_mm=(), listed=())),
        HeadNeeded("rear", ("B40",), NEEDS),
    )
    said = laid(heads_section(heads))
    assert said[0] == "Which head gasket each base on the shelf needs"
    assert said[3:] == [
        "front B40 0.635 mm 0.55 to 0.70 mm H60, 0.60 mm",
        "or 0.80 to 0.85 mm",
        "B40 + S10 none none nobody lists one",
        "rear B40 0.635 mm 0.55 to 0.70 mm H60, 0.60 mm",
        "or 0.80 to 0.85 mm",
    ]
    assert heads_section(()) == []


def test_the_document_of_a_stack_holds_its_limits_and_no_number_for_a_plain_thickness() -> None:
    document = tried_document(FAILS, PARTS)
    assert document == {
        "cylinder": "rear",
        "pieces": [
            {"part": "B40", "role": "base gasket", "thickness_mm": 0.4},
            {"part": None, "role": "head gasket", "thickness_mm": 0.5},
        ],
        "quench_mm": 0.7,
        "compression_ratio": None,
        "chance_in_window": 0.974,
        "left_out": ["the rod"],
        "inside": False,
        "broken": ["the quench lies 0.06 mm below its window", "valve to piston"],
        "free": False,
        "figures": [{"name": "intake valve to piston", "value": 1.54, "unit": "mm", "within": False}],
    }
    json.dumps(document, allow_nan=False)


def test_the_document_of_a_gap_holds_what_it_needs() -> None:
    needs = {
        "role": "head gasket",
        "aim_mm": 0.635,
        "inside_mm": [[0.55, 0.7], [0.8, 0.85]],
        "listed": ["H60"],
        "opening_mm": 83,
    }
    assert tried_document(SOUGHT, PARTS)["needs"] == needs
    assert head_document(HeadNeeded("rear", ("B40",), NEEDS)) == {"cylinder": "rear", "base": ["B40"], "needs": needs}
    base = head_document(HeadNeeded("rear", ("B40",), replace(NEEDS, opening_mm=0.0, aim_mm=None)))
    assert (base["needs"]["opening_mm"], base["needs"]["aim_mm"]) == (None, None)
