"""Names that no book knows are told with the nearest known ones."""

from __future__ import annotations

from stackopt.engine.engine_records import Cylinder, Engine
from stackopt.parts.part_records import Kind, Part
from stackopt.parts.unknown import unknown_names

CYLINDER = Cylinder("front", 82.0, 78.0, 0.0)
PARTS = {
    "B25": Part("B25", Kind.BASE_GASKET, frozenset({"KV82", "PT72"}), thickness_mm=0.25),
    "S10": Part("S10", Kind.BASE_SHIM, thickness_mm=0.1),
}


def test_a_family_that_no_part_names_is_told_with_the_nearest() -> None:
    (problem,) = unknown_names([Engine("HC-11", "kv28", (CYLINDER,))], PARTS)
    assert str(problem) == (
        "engine HC-11, family: found 'kv28', expected a family that some part in the books fits. "
        "The nearest known: KV82, PT72."
    )


def test_a_family_that_some_part_names_is_known() -> None:
    assert unknown_names([Engine("HC-11", "PT72", (CYLINDER,))], PARTS) == []


def test_where_every_part_fits_any_family_none_is_unknown() -> None:
    assert unknown_names([Engine("HC-11", "X", (CYLINDER,))], {"S10": PARTS["S10"]}) == []


def test_a_part_already_fitted_that_no_book_lists_is_told() -> None:
    engine = Engine("HC-11", "KV82", (CYLINDER,), pinned={"front": ("B52",)})
    (problem,) = unknown_names([engine], PARTS)
    assert str(problem).startswith("engine HC-11, fitted on front: found 'B52', expected a part number that some book")
    assert "B25" in problem.mend
