"""A bore from several diameters."""

from __future__ import annotations

import pytest

from stackopt.engine.cautions import Units
from stackopt.engine.readings.diameters import DepthReading, bore_remark, measured_bore


def test_mean_taper_and_out_of_round():
    """Depth means 92.025 and 92.005: taper 0.02; directions 0.01 and 0.03 apart: out of round 0.03.

    s of (92.02, 92.03, 91.99, 92.02) = 0.017321, u = s/2.
    """
    bore = measured_bore([DepthReading("top", 92.02, 92.03), DepthReading("bottom", 91.99, 92.02)])
    assert bore.bore_mm == pytest.approx(92.015)
    assert bore.taper_mm == pytest.approx(0.02)
    assert bore.out_of_round_mm == pytest.approx(0.03)
    assert bore.uncertainty_mm == pytest.approx(0.0173205 / 2, rel=1e-5)
    assert (
        bore_remark("rear", bore).words(Units.MM)
        == "bore 92.015 mm in the mean, taper 0.020 mm, out of round 0.030 mm."
    )


def test_what_was_not_read_is_not_told():
    bore = measured_bore([DepthReading("top", along_pin_mm=92.02)])
    assert (bore.taper_mm, bore.out_of_round_mm, bore.uncertainty_mm) == (None, None, 0.0)
    assert bore_remark("rear", bore).words(Units.MM) == "bore 92.020 mm in the mean."
