"""Where an answer takes its parts from."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from typing import Protocol

from stackopt.parts.part_records import Part, Supply, Usage


class PartsSource(Protocol):
    """Where parts come from: books, or the shop's ledger."""

    @property
    def parts(self) -> Mapping[str, Part]:
        """All parts, by number."""

    @property
    def supply(self) -> Supply:
        """Everything that can be fitted and bought."""

    @property
    def usage(self) -> tuple[Usage, ...]:
        """What left the shelf."""

    def supply_for(self, families: Collection[str]) -> Supply:
        """Return what can be fitted on and bought for engines of these families."""
