"""How much better than the chosen range the best one may be, over all engines to come and not the drawn ones alone.

References
----------
Mak, Morton & Wood, Monte Carlo bounding techniques for determining solution quality in stochastic programs, Operations
Research Letters 24 (1999): in batches of fresh scenarios the optimum of each batch less what the candidate reaches in
the same batch is, on average, at least the candidate's distance from the best; a one-sided Student interval over the
batches bounds it. A bound of a batch's optimum in place of the optimum itself only makes the interval wider.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np

# One-sided 95 % quantiles of Student's distribution for 1, 2, … degrees of freedom (scipy.stats.t.ppf(0.95, f)).
STUDENT_95 = (6.314, 2.920, 2.353, 2.132, 2.015)


def gap_limit(gaps: Sequence[float]) -> float | None:
    """Return what the gap does not exceed with a confidence of 95 %; None for fewer than two batches.

    `gaps` are of up to six batches, each a bound of the batch's optimum less what the candidate reaches there.
    """
    if len(gaps) < 2:
        return None
    error = STUDENT_95[len(gaps) - 2] * float(np.std(gaps, ddof=1)) / math.sqrt(len(gaps))
    return max(0.0, float(np.mean(gaps)) + error)
