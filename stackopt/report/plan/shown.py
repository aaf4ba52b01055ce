"""How much of a plan is printed."""

from __future__ import annotations

from collections.abc import Collection

from msgspec import Struct

# A plan of so many engines still fits on two screens with every cylinder, and those who build need the cylinders.
MOST_AT_LENGTH = 8


class Shown(Struct, frozen=True):
    """How much of a plan is printed: all of it, these engines at length, or neither: what its size allows."""

    everything: bool = False
    engines: tuple[str, ...] = ()

    def at_length(self, engines: int) -> bool:
        """Tell whether a plan of so many engines is printed with every cylinder."""
        return not self.engines and (self.everything or engines <= MOST_AT_LENGTH)

    def who_stood_back(self, engines: int) -> Collection[str] | None:
        """Return of which engines of so many it is printed whether they stood back for others; None for all."""
        return None if self.at_length(engines) else self.engines
