"""Lines: where a figure has a value and where it keeps its ends."""

from __future__ import annotations

import math

import numpy as np

from stackopt.engine.engine_records import Window
from stackopt.engine.levers.linear import LinearPiece, ends_of

VALUES = np.array([1.0, 3.0])


def test_a_sloping_line_has_every_value_somewhere():
    """1 − 2·(x − 0.5) = 0 at x = 1; 3 + 0.5·(x − 0.5) = 0 at x = −5.5."""
    line = LinearPiece(0.5, VALUES, np.array([-2.0, 0.5]))
    assert line.amount_for(0.0).tolist() == [1.0, -5.5]
    assert line.at(np.array([1.0, -5.5])).tolist() == [0.0, 0.0]


def test_a_flat_line_has_one_value_only():
    line = LinearPiece(0.5, VALUES, np.zeros(2))
    assert line.amount_for(3.0).tolist()[1] == 0.5
    assert math.isnan(line.amount_for(3.0)[0])


def test_the_stretch_between_two_ends():
    """1 − 2x lies in 0 … 2 from −0.5 to 0.5; 3 + 0.5x from −6 to −2."""
    low, high = LinearPiece(0.0, VALUES, np.array([-2.0, 0.5]), 0.0, 2.0).stretch()
    assert (low.tolist(), high.tolist()) == ([-0.5, -6.0], [0.5, -2.0])


def test_a_flat_line_keeps_its_ends_everywhere_or_nowhere():
    low, high = LinearPiece(0.0, VALUES, np.zeros(2), 0.0, 1.0).stretch()
    assert (low.tolist(), high.tolist()) == ([-math.inf, math.inf], [math.inf, -math.inf])


def test_an_open_end_is_infinite():
    assert ends_of(None) == (-math.inf, math.inf)
    assert ends_of(Window(low=1.0)) == (1.0, math.inf)
    assert ends_of(Window(high=1.0)) == (-math.inf, 1.0)
