"""Service after the fact: of the lead times that are over, how many were bridged, against what was asked."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping

from msgspec import Struct

from stackopt.stocking.demand.leads import Delivery

CONFIDENCE = 0.95


class KeptService(Struct, frozen=True):
    """Lead times of one part at one supplier: how many, how many of them were bridged, and what was asked.

    `low` and `high` hold the true share with 95 % confidence.
    """

    part: str
    supplier: str
    lead_times: int
    bridged: int
    low: float
    high: float
    asked: float

    @property
    def falls_short(self) -> bool:
        """The share asked is above all that the record leaves likely."""
        return self.high < self.asked


def service_reached(
    deliveries: Iterable[Delivery], asked: Mapping[str, float], newest: Mapping[str, str]
) -> Iterator[KeptService]:
    """Yield part by part and supplier by supplier what was bridged; orders made for an engine do not count.

    `asked` is the chance asked for by part, `newest` the newest numbers of parts.
    """
    seen: dict[tuple[str, str], list[bool]] = defaultdict(list)
    for delivery in deliveries:
        if delivery.bridged is not None:
            seen[newest.get(delivery.part, delivery.part), delivery.supplier].append(delivery.bridged)
    for (part, supplier), own in sorted(seen.items()):
        if part in asked:
            low, high = share_interval(sum(own), len(own))
            yield KeptService(part, supplier, len(own), sum(own), low, high, asked[part])


def share_interval(successes: float, trials: float) -> tuple[float, float]:
    """Return the two-sided 95 % interval of a share; numbers need not be whole where they are effective ones.

    References
    ----------
    Clopper & Pearson, The use of confidence or fiducial limits illustrated in the case of the binomial, Biometrika 26
    (1934); the same as ``scipy.stats.binomtest(successes, trials).proportion_ci()``.
    """
    # As in bursts.py: SciPy takes 0.2 s to import, and only who has a record of deliveries waits for it.
    from scipy.special import betaincinv  # noqa: PLC0415

    tail, failures = (1 - CONFIDENCE) / 2, trials - successes
    low = float(betaincinv(successes, failures + 1, tail)) if successes > 0 else 0.0
    high = float(betaincinv(successes + 1, failures, 1 - tail)) if failures > 1e-9 else 1.0
    return low, high
