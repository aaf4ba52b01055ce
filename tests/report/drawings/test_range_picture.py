"""The picture of a range to keep shows the figures of its answer: asserted on the figure, drawn in memory."""

from __future__ import annotations

import pytest
from matplotlib.figure import Figure

from stackopt.report.drawings.range_picture import _draw
from tests.report.range.valued import ANSWER


def drawn():
    figure = Figure()
    _draw(figure, ANSWER)
    (axes,) = figure.axes
    return axes


def test_the_curve_runs_through_money_and_per_cent() -> None:
    """5000 cents are 50.00; a share of 0.7 is 70 %, ± 2.5."""
    curve = drawn().containers[0]
    line, _, (bars,) = curve.lines
    assert list(line.get_xdata()) == [50.0, 69.5, 119.5]
    assert list(line.get_ydata()) == pytest.approx([70, 80, 90])
    assert bars.get_segments()[0][:, 1].tolist() == pytest.approx([67.5, 72.5])


def test_the_range_and_what_it_is_measured_against_are_points_with_their_names() -> None:
    points = {
        each.get_label(): each.get_offsets()[0].tolist() for each in drawn().collections if each.get_label()[0] != "_"
    }
    assert points == {
        "the range to keep": pytest.approx([69.5, 80]),
        "today's shelf": pytest.approx([90, 65]),
        "equal numbers of every thickness": pytest.approx([99, 79]),
        "the commonest needs first": pytest.approx([99.5, 80]),
    }


def test_the_axes_say_what_they_count_and_the_most_is_a_dashed_line() -> None:
    """95 of 100 engines could be built by all the parts there are."""
    axes = drawn()
    assert axes.get_xlabel() == "money tied up on the shelf"
    assert axes.get_ylabel() == "engines built from the shelf, %"
    (most,) = [line for line in axes.get_lines() if line.get_linestyle() == "--"]
    assert list(most.get_ydata()) == [95, 95]
    assert most.get_label() == "all that any part could build"
    assert axes.get_legend() is not None
