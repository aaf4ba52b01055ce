"""How long a solve may go on: until a moment, or until somebody says stop; and who is told how far it is."""

from __future__ import annotations

import math
import time
from collections.abc import Callable

from msgspec import Struct

# So much longer than there is time others are waited for: to state a model and to send its answer takes a moment, too.
GRACE_SECONDS = 2.0


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
    """

    ends_at: float = math.inf
    told: Callable[[str, float, float], None] | None = None
    stopped: bool = False
    within: Patience | None = None

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

    def given_up(self) -> bool:
        """Tell whether what others still work on is not waited for any longer."""
        return self.is_stopped or time.monotonic() > self.ends_at + GRACE_SECONDS
