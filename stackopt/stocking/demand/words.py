"""Which model of demand was taken, and why, in a sentence."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date, timedelta

import numpy as np

from stackopt.stocking.demand.bursts import occasions
from stackopt.stocking.demand.demand_records import DemandEvent, Model
from stackopt.stocking.demand.shapes import Shape


def why_words(model: Model, events: Sequence[DemandEvent], shape: Shape, today: date) -> str:
    """Say which model was taken and why; nothing where demand is steady over the whole record."""
    first = today - timedelta(events[0].days_ago)
    last = today - timedelta(events[-1].days_ago)
    times = occasions(np.array([event.days_ago for event in events]))
    words = {
        Model.NEW: f"new: counted since its first use on {first:%Y-%m-%d}",
        Model.GROWING: f"demand grew: {2.0**shape.doublings:.1f} times as much each year fits it best",
        Model.FALLING: f"demand fell: {2.0**shape.doublings:.2f} times as much each year fits it best",
        Model.SEASONAL: f"goes with the season: most around {today + timedelta(shape.peak_days):%B}",
        Model.BURSTS: (
            f"comes in bursts: {len(events)} uses on {times} occasion{'' if times == 1 else 's'}, "
            "so stock has to last for a whole burst"
        ),
        Model.ENDED: f"demand fell: not used since {last:%Y-%m-%d}, too long to be luck",
    }
    return words.get(model, "")
