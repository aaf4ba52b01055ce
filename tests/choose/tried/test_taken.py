"""What the builder really took: plain thicknesses as pieces that were measured."""

from __future__ import annotations

import pytest

from stackopt.choose.tried.taken import as_measured
from stackopt.parts.lots import MICROMETER_MM
from stackopt.parts.part_records import Kind, Part
from stackopt.problems import InputError

PLAIN = Part("0.51 mm", Kind.HEAD_GASKET, thickness_mm=0.51, plain=True)
LISTED = Part("BG", Kind.BASE_GASKET, thickness_mm=0.40, tolerance_mm=0.02)


def test_a_plain_thickness_is_a_piece_that_was_measured_and_a_listed_one_stays() -> None:
    ((base, head),) = as_measured({"front": (LISTED, PLAIN)}).values()
    assert base == LISTED
    assert head is not None
    assert (head.number, head.tolerance_mm, head.plain) == ("0.51 mm head gasket", MICROMETER_MM, True)


def test_what_was_taken_cannot_be_sought() -> None:
    with pytest.raises(InputError, match=r"Say which piece was taken\."):
        as_measured({"front": (LISTED, None)})
