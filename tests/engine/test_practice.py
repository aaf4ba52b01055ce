"""What common practice holds against a quench window: below 0.025 in, above 0.040 in. No source."""

from __future__ import annotations

import pytest

from stackopt.engine.cautions import Units
from stackopt.engine.engine_records import Window
from stackopt.engine.practice import quench_practice


@pytest.mark.parametrize(
    ("window", "said"),
    [
        (Window(0.64, 1.02), []),
        (Window(0.025 * 25.4, 0.040 * 25.4), []),
        (Window(0.60, 1.02), ["below 0.635 mm"]),
        (Window(0.64, 1.10), ["above 1.016 mm"]),
        (Window(0.5, 1.5), ["below 0.635 mm", "above 1.016 mm"]),
        (Window(low=0.8), []),
    ],
)
def test_each_end_beyond_common_practice_is_told(window, said):
    told = [caution.words(Units.MM) for caution in quench_practice("front", window)]
    assert [remark[: len(start)] for remark, start in zip(told, said, strict=True)] == said
