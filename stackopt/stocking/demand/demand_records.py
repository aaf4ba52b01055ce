"""The records of demand: what left the shelf at once, and what a part is expected to be asked for."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date
from enum import StrEnum

import numpy as np
from msgspec import Struct
from numpy.typing import NDArray

DAYS_PER_YEAR = 365.25
Chances = NDArray[np.float64]
# Lead times in days, with their chances.
LeadDays = Mapping[int, float]


class Model(StrEnum):
    """What a part's demand was taken for."""

    STEADY = "steady"
    NEW = "new"
    GROWING = "growing"
    FALLING = "falling"
    SEASONAL = "seasonal"
    BURSTS = "in bursts"
    ENDED = "ended"


class DemandEvent(Struct, frozen=True):
    """Pieces of one part that left the shelf for one engine on one day, so many days before today."""

    days_ago: int
    pieces: int


class Demand(Struct, frozen=True):
    """How fast a part leaves the shelf.

    Parameters
    ----------
    model
        What the demand was taken for.
    why
        In a sentence, which model that is and why; empty for steady demand over the whole record.
    sizes
        Share of the events by how many pieces left at once.
    pieces, days
        Pieces used, and the days back from today in which they were counted.
    known_days
        Days since the first use that is counted.
    first_used, last_used
        The first and the last day in the period that the part left the shelf.
    pieces_per_year
        The rate expected over the next half year.
    """

    model: Model
    why: str
    sizes: Mapping[int, float]
    pieces: int
    days: int
    known_days: int
    first_used: date
    last_used: date
    pieces_per_year: float
