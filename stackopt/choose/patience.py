"""How long a solve may go on: until a moment, or until somebody says stop; and who is told how far it is."""

from __future__ import annotations

import math
import time
from collections.abc import Callable, Iterable
from typing import TypeVar

from msgspec import Struct

# So much longer than there is time others are waited for: to state a model and to send its answer takes a moment, too.
GRACE_SECONDS = 2.0

# What follows a solve that took all the time has so long: the first reasons take no more than a moment.
MOMENT_SECONDS = 1.0

Found = TypeVar("Found")


class TimeIsOverError(Exception):
    """No time is left to go on; what was found before stands."""


class Patience(Struct):
    """The limits of a solve.

    Parameters
    ----------
    ends_at
        The moment, on the monotonic clock, at which it ends with the best found; infinite for none.
    told
        Is called with an objective's name, the best value found and its bound (infinite where there is none yet), many
        times a second; None for nobody.
    stopped
        Somebody has said stop: what is found by then is the answer.
    within
        The limits of the solve that this one is a part of: where that is stopped, so is this one.
    noticed_at
        The moment at which it was first noticed that no time is left.
    """

    ends_at: float = math.inf
    told: Callable[[str, float, float], None] | None = None
    stopped: bool = False
    within: Patience | None = None
    noticed_at: float = math.inf

    @classmethod
    def of_seconds(cls, seconds: float | None) -> Patience:
        """Return patience for so many seconds from now; without end for None."""
        return cls() if seconds is None else cls(time.monotonic() + seconds)

    def share(self, part: float) -> Patience:
        """Return patience for a part, 0 to 1, of what is left from now."""
        return Patience.of_seconds(part * self.seconds_left)

    def part_of(self, share: float = 1.0) -> Patience:
        """Return patience for one part of a solve: a share, 0 to 1, of what is left; it is stopped where all is."""
        return Patience(time.monotonic() + share * self.seconds_left, self.told, within=self)

    def quietly(self) -> Patience:
        """Return patience with the same limits that tells nobody how far it is: for what is no pass of a plan."""
        return Patience(self.ends_at, within=self)

    def afterwards(self) -> Patience:
        """Return patience for what follows this solve: what is left of its time, but a moment in any case."""
        left = 0.0 if self.is_stopped else self.ends_at
        return Patience(max(left, time.monotonic() + MOMENT_SECONDS))

    @property
    def is_stopped(self) -> bool:
        """Somebody said stop, to this solve or to the one that it is a part of."""
        return self.stopped or (self.within is not None and self.within.is_stopped)

    @property
    def seconds_left(self) -> float:
        """Seconds that are left; infinite where there is no limit."""
        return 0.0 if self.is_stopped else max(0.0, self.ends_at - time.monotonic())

    @property
    def over(self) -> bool:
        """No time is left, or somebody said stop."""
        return self.seconds_left <= 0

    def long_over(self) -> bool:
        """Tell whether a moment has gone by since no time was left: then nothing is begun any more."""
        if not self.over:
            return False
        now = time.monotonic()
        self.noticed_at = min(self.noticed_at, now)
        return now > self.noticed_at + MOMENT_SECONDS

    def go_on(self) -> None:
        """Go on where there is time.

        Raises
        ------
        TimeIsOverError
            When no time is left, or somebody said stop.
        """
        if self.over:
            raise TimeIsOverError

    def given_up(self) -> bool:
        """Tell whether what others still work on is not waited for any longer."""
        return self.is_stopped or time.monotonic() > self.ends_at + GRACE_SECONDS


def in_time(found: Iterable[Found]) -> tuple[tuple[Found, ...], bool]:
    """Return what is found before time is over, and whether that is all."""
    so_far: list[Found] = []
    try:
        so_far.extend(found)
    except TimeIsOverError:
        return tuple(so_far), False
    return tuple(so_far), True
