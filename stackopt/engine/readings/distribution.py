"""The exact distribution of an error that is partly scattered, partly rectangular.

A gasket's thickness lies anywhere within its tolerance (rectangular); a reading scatters (Student's t, or normal when
much is known). Where one rectangular part dominates, a root of squares times two claims too much (JCGM 101:2008, 9.2),
so the sum is taken as it is: a closed form for normal plus rectangular parts, and a mixture of normals for t.
"""

from __future__ import annotations

import math
from functools import cache, lru_cache
from itertools import product

import numpy as np
from msgspec import Struct
from msgspec.structs import replace
from numpy.typing import NDArray

Array = NDArray[np.float64]

# A part this much smaller than the largest is counted by its variance alone: its shape no longer shows, and the closed
# form would divide by it.
SHAPELESS = 1e-3
# Below this share of the widest rectangular part a scatter is none: the corners it rounds off are below 1e-9.
NO_SCATTER = 1e-9
# Below a billionth of a micrometre, or of any share, an error is none.
NOTHING = 1e-12
# With more degrees of freedom t and normal differ by less than 1e-7 in any chance.
ALL_BUT_NORMAL = 1e7
# The end of an interval is looked for at so many places between two that enclose it, so many times over.
PLACES, ROUNDS = 16, 6
ROWS_AT_A_TIME = 100_000
# Intervals of so few errors are asked for again and again, by the deck, the choice, its drawing and its remarks.
ROWS_REMEMBERED = 8
# What has no limit is taken to its 99 % interval where the worst is asked for.
WORST_LEVEL = 0.99


class Error(Struct, frozen=True):
    """A sum of independent errors with mean zero, for each of n values, all in one unit.

    Parameters
    ----------
    scatter
        Standard uncertainty of the part that follows Student's t, scaled; shape (n,).
    degrees_of_freedom
        Of that part; infinite where it is normal.
    normal
        Standard uncertainty of what is normal beside it; shape (n,).
    half_widths
        Half-widths of the rectangular parts; shape (n, k), 0 where there is none.
    """

    scatter: Array
    degrees_of_freedom: float
    normal: Array
    half_widths: Array

    @property
    def standard_uncertainty(self) -> Array:
        """Root of the summed variances, JCGM 100:2008 eq. 10; a rectangular part has a/√3 (4.3.7)."""
        uncertainty: Array = np.sqrt(self.scatter**2 + self.normal**2 + (self.half_widths**2).sum(axis=1) / 3)
        return uncertainty

    def chance_at_most(self, limit: Array) -> Array:
        """Return the chance that the error is `limit` or less, for each value."""
        freedom = self.degrees_of_freedom if self.scatter.any() else math.inf
        scales, weights = _scale_mixture(freedom)
        chance = np.zeros(limit.shape)
        # As many scales at a time as memory has room for: a call weighs more than the rows in it where these are few.
        at_a_time = max(1, ROWS_AT_A_TIME // max(1, limit.size))
        for start in range(0, scales.size, at_a_time):
            own = scales[start : start + at_a_time]
            sigma = np.hypot(self.scatter * own[:, None], self.normal).ravel()
            rows = np.tile(limit, own.size), sigma, np.tile(self.half_widths, (own.size, 1))
            chance += weights[start : start + at_a_time] @ _at_most(*rows).reshape(own.size, -1)
        # Weights add up to 1 except for their last binary digit; what is certain is to be exactly 1.
        return np.where(chance > 1 - NOTHING, 1.0, chance)

    def half_interval(self, level: float = 0.95) -> Array:
        """Return the half-width of the interval around zero that holds the error with the chance `level`."""
        if self.scatter.size > ROWS_REMEMBERED:
            return self.half_interval_anew(level)
        shape = self.half_widths.shape
        return _half_interval(
            *map(_as_bytes, (self.scatter, self.normal, self.half_widths)), shape, (self.degrees_of_freedom, level)
        ).copy()

    def half_interval_anew(self, level: float) -> Array:
        """Work out `half_interval`, whatever was asked before."""
        reach = self.standard_uncertainty
        low, high = np.zeros(reach.shape), reach.copy()
        wanted = (1 + level) / 2
        while (short := self.chance_at_most(high) < wanted).any():
            high[short] *= 2
        # One call weighs as much for sixteen places as for one: six rounds part the range to 2⁻²⁴ of itself.
        steps = np.linspace(0.0, 1.0, PLACES + 1)
        many = Error(
            scatter=np.repeat(self.scatter, PLACES - 1),
            degrees_of_freedom=self.degrees_of_freedom,
            normal=np.repeat(self.normal, PLACES - 1),
            half_widths=np.repeat(self.half_widths, PLACES - 1, axis=0),
        )
        for _ in range(ROUNDS):
            places = low[:, None] + (high - low)[:, None] * steps
            short = many.chance_at_most(places[:, 1:-1].ravel()).reshape(-1, PLACES - 1) < wanted
            first = short.sum(axis=1)
            rows = np.arange(first.size)
            low, high = places[rows, first], places[rows, first + 1]
        return high

    def worst(self) -> Array:
        """Return the error with every rectangular part at its end and what scatters at its own 99 % interval's."""
        if not self.scatter.any() and not self.normal.any():
            at_the_ends: Array = self.half_widths.sum(axis=1)
            return at_the_ends
        scattered = replace(self, half_widths=np.zeros((self.scatter.size, 0))).half_interval(WORST_LEVEL)
        worst: Array = scattered + self.half_widths.sum(axis=1)
        return worst


def _as_bytes(values: Array) -> bytes:
    return np.ascontiguousarray(values, dtype=float).tobytes()


@lru_cache(maxsize=4096)
def _half_interval(
    scatter: bytes, normal: bytes, half_widths: bytes, shape: tuple[int, int], said: tuple[float, float]
) -> Array:
    """Remember an interval: one answer about one engine asks for each of its own four times and more."""
    freedom, level = said
    one = Error(np.frombuffer(scatter), freedom, np.frombuffer(normal), np.frombuffer(half_widths).reshape(shape))
    return one.half_interval_anew(level)


@cache
def _scale_mixture(degrees_of_freedom: float) -> tuple[Array, Array]:
    """Return scales and weights that mix normals into Student's t: t = z / √(χ²/ν).

    Trapezoidal rule over ln(χ²/ν), whose density goes as exp(ν/2·(y − eʸ)); steps and ends keep the chance to 1e-6.
    """
    if degrees_of_freedom > ALL_BUT_NORMAL:
        return np.ones(1), np.ones(1)
    width = math.sqrt(2 / degrees_of_freedom)
    y = np.arange(-28 / degrees_of_freedom - 5 * width, 5 * width, min(0.5, 0.8 * width))
    weights = np.exp(degrees_of_freedom / 2 * (y - np.exp(y) + 1))
    return np.exp(-y / 2), weights / weights.sum()


def _at_most(limit: Array, sigma: Array, half_widths: Array) -> Array:
    """Return the chance that a normal error plus rectangular ones is at most `limit`, row by row."""
    widest = half_widths.max(axis=1, initial=0.0)
    shapeless = half_widths < np.maximum(SHAPELESS * np.maximum(sigma, widest), NOTHING)[:, None]
    sigma = np.sqrt(sigma**2 + (np.where(shapeless, half_widths, 0) ** 2).sum(axis=1) / 3)
    sigma = np.where(sigma < np.maximum(NO_SCATTER * widest, NOTHING), 0.0, sigma)
    shaped = -np.sort(-np.where(shapeless, 0.0, half_widths), axis=1)
    count = (shaped > 0).sum(axis=1)
    chance = np.empty(limit.shape)
    for rectangulars in range(half_widths.shape[1] + 1):
        for scattered in (False, True):
            rows = (count == rectangulars) & ((sigma > 0) == scattered)
            if rows.any():
                chance[rows] = _sum_at_most(limit[rows], sigma[rows], shaped[rows, :rectangulars], scattered)
    return chance


def _sum_at_most(limit: Array, sigma: Array, half_widths: Array, scattered: bool) -> Array:
    """Difference the repeated integral of the scatter's chance over both ends of each rectangle: the closed form."""
    unit = sigma if scattered else np.ones(limit.shape)
    limit, half_widths = limit / unit, half_widths / unit[:, None]
    count = half_widths.shape[1]
    total = np.zeros(limit.shape)
    for signs in product((1, -1), repeat=count):
        corner = limit + half_widths @ np.array(signs, dtype=float)
        integral = _normal_integral(corner, count) if scattered else _step_integral(corner, count)
        total += math.prod(signs) * integral
    chance: Array = np.clip(total / np.prod(2 * half_widths, axis=1), 0.0, 1.0)
    if scattered:
        return chance
    reach = half_widths.sum(axis=1)
    return np.where(limit >= reach, 1.0, np.where(limit < -reach, 0.0, chance))


def _step_integral(x: Array, times: int) -> Array:
    """Integrate the unit step `times` times: xⁿ/n! above zero."""
    if times == 0:
        return (x >= 0).astype(float)
    step: Array = np.maximum(x, 0.0) ** times / math.factorial(times)
    return step


def _normal_integral(x: Array, times: int) -> Array:
    """Integrate the unit normal's cumulative chance `times` times.

    Recurrence of the repeated integrals of the error function, Abramowitz & Stegun 7.2.5: n·Iₙ = x·Iₙ₋₁ + Iₙ₋₂.
    """
    # Beyond 40 the density is zero in any case, and a square could overflow.
    before: Array = np.exp(-(np.clip(x, -40.0, 40.0) ** 2) / 2) / math.sqrt(2 * math.pi)
    erf = np.fromiter(map(math.erf, (x / math.sqrt(2)).tolist()), dtype=float, count=x.size)
    now: Array = (1 + erf) / 2
    for n in range(1, times + 1):
        before, now = now, (x * now + before) / n
    return now
