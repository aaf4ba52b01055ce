"""What each part is expected to be asked for, learned from what left the shelf."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from datetime import date, timedelta

import numpy as np
from msgspec import Struct

from stackopt.parts.part_records import Usage
from stackopt.stocking.demand.bursts import Bursts, bursts, occasions
from stackopt.stocking.demand.counts import compound_chances, gamma_poisson_chances
from stackopt.stocking.demand.demand_records import DAYS_PER_YEAR, Chances, Demand, DemandEvent, LeadDays, Model
from stackopt.stocking.demand.events import events_by_part, recorded_days, size_shares
from stackopt.stocking.demand.shapes import NEW_PRIOR, Shapes, shapes_of
from stackopt.stocking.demand.words import why_words

# A part is known for at least so long: one use yesterday is not one a day.
LEAST_KNOWN_DAYS = 28
# A part has ended when luck alone would leave it unused so long less often than this, and that for a year at least; of
# one or two uses nothing can be said.
BELIEVED_CHANCE, ENDED_DAYS, LEAST_OCCASIONS = 0.05, 365, 3
# How much a part believes of what the others of its family show of growth and season.
FAMILY_WEIGHT = 0.5
# The rate of a year is told from so many days ahead.
HALF_YEAR_DAYS = 182


class Forecast(Struct, frozen=True):
    """What is known of one part's demand.

    Parameters
    ----------
    demand
        Told in figures and words.
    days_ago
        Of every event within the record, days before today.
    weights
        Of the shapes, and last of the part being new; sum 1.
    shapes
        The shapes that the weights are of.
    bursts
        Whether events come in bursts, and how.
    """

    demand: Demand
    days_ago: Chances
    weights: Chances
    shapes: Shapes
    bursts: Bursts

    @property
    def known_days(self) -> float:
        """Days since the first use, as they count for a new part."""
        return float(max(self.days_ago.max(), LEAST_KNOWN_DAYS))

    def chances(self, lead: LeadDays, review_days: int = 0) -> Chances:
        """Return the chances of 0, 1, … pieces asked for in a lead time and the days between checks of the shelf.

        Parameters
        ----------
        lead
            Lead times in days with their chances, which sum to 1.
        review_days
            Days that pass before anybody sees that an order is due.
        """
        parts = [chance * self._events(days + review_days) for days, chance in _padded(lead)]
        return compound_chances(_summed(parts), self.demand.sizes)

    def _events(self, days: int) -> Chances:
        if days == 0:
            return np.ones(1)
        number, record = len(self.days_ago), self.shapes.days
        # Jeffreys' prior; of a new part's uses the first began the record, and its rate has a flat one: of what is new
        # rather too much is kept than too little.
        ahead = self.shapes.ahead(days)
        shapes = np.append(np.full(len(ahead), number + 0.5), number)
        successes = np.append(record / (record + ahead), self.known_days / (self.known_days + days))
        at_random = np.asarray(self.weights @ gamma_poisson_chances(shapes, successes))
        if not self.bursts.chance:
            return at_random
        in_bursts = self.bursts.chances(self._rate_ahead(ahead, days) * days)
        return _summed([(1 - self.bursts.chance) * at_random, self.bursts.chance * in_bursts])

    def _rate_ahead(self, ahead: Chances, days: int) -> float:
        """Return the rate ahead over the mean rate of the record."""
        if self.demand.model is Model.NEW:
            return 1.0
        return float(self.weights[:-1] @ ahead) / max(1e-9, float(self.weights[:-1].sum())) / days


def _padded(lead: LeadDays) -> list[tuple[int, float]]:
    return [(days, chance) for days, chance in lead.items() if chance > 0]


def _summed(parts: Sequence[Chances]) -> Chances:
    total = np.zeros(max(map(len, parts)))
    for part in parts:
        total[: len(part)] += part
    return total


def forecasts(
    usage: Iterable[Usage], today: date, period_days: int, families: Mapping[str, frozenset[str]]
) -> dict[str, Forecast]:
    """Estimate the demand of every part that a record of usage names within the period.

    Parameters
    ----------
    usage
        What left the shelf; entries after today do not count.
    today
        The day up to which the record counts.
    period_days
        How far back it counts.
    families
        By part number, the engine families it fits: parts of the same families tell each other growth and season.
    """
    past = [entry for entry in usage if entry.day <= today]
    if not past:
        return {}
    shapes = shapes_of(recorded_days(past, today, period_days))
    events = {part: own for part, own in events_by_part(past, today, period_days).items() if own}
    evidence = {part: _evidence(own, shapes) for part, own in events.items()}
    newness = {part: _new_odds(own, shapes.days) for part, own in events.items()}
    priors = _pooled_priors({part: evidence[part] for part in events if newness[part] < 1}, families, shapes)
    return {
        part: _forecast(own, _weights(evidence[part], newness[part], priors.get(part, shapes.prior)), shapes, today)
        for part, own in events.items()
    }


def _evidence(events: Sequence[DemandEvent], shapes: Shapes) -> Chances:
    """Return by shape the logarithm of how likely it makes the days of the events."""
    days_ago = [event.days_ago for event in events]
    return np.asarray(shapes.log_rates[:, days_ago].sum(axis=1))


def _new_odds(events: Sequence[DemandEvent], days: int) -> float:
    """Return how much likelier the events are if the part was new on some day than if it was there all along.

    All days before the first use are as likely to have been its first day on the shelf.
    """
    ratio, more = days / max(1, events[0].days_ago), occasions(np.array([event.days_ago for event in events])) - 1
    return float(np.log(ratio) if more == 0 else (ratio**more - 1) / more)


def _pooled_priors(
    evidence: Mapping[str, Chances], families: Mapping[str, frozenset[str]], shapes: Shapes
) -> dict[str, Chances]:
    """Return the prior of each part: half the shapes' own, half what the others of its family show."""
    by_family: dict[frozenset[str], list[str]] = defaultdict(list)
    for part in evidence:
        by_family[families.get(part, frozenset((part,)))].append(part)
    priors = {}
    for parts in by_family.values():
        together = sum((evidence[part] for part in parts), np.zeros(len(shapes.prior)))
        for part in parts:
            others = _normalised(np.log(shapes.prior) + together - evidence[part])
            priors[part] = (1 - FAMILY_WEIGHT) * shapes.prior + FAMILY_WEIGHT * others
    return priors


def _weights(evidence: Chances, new_odds: float, prior: Chances) -> Chances:
    logs = np.log(prior * (1 - NEW_PRIOR)) + evidence
    new = np.log(NEW_PRIOR * max(new_odds, 1e-300))
    return _normalised(np.append(logs, new))


def _normalised(logs: Chances) -> Chances:
    raised = np.exp(logs - logs.max())
    return np.asarray(raised / raised.sum())


def _forecast(events: Sequence[DemandEvent], weights: Chances, shapes: Shapes, today: date) -> Forecast:
    days_ago = np.array([event.days_ago for event in events], dtype=float)
    model = _model(weights, shapes, days_ago)
    best = _likeliest(model, weights, shapes)
    told = _told_bursts(model, days_ago, shapes, best)
    model = Model.BURSTS if told.believed and model is Model.STEADY else model
    days = max(int(days_ago.max()), 1) if model is Model.NEW else shapes.days
    pieces = sum(event.pieces for event in events)
    known = max(float(days_ago.max()), LEAST_KNOWN_DAYS)
    ahead = np.append(shapes.ahead(HALF_YEAR_DAYS) / shapes.days, HALF_YEAR_DAYS / known)
    rate = pieces * float(weights @ ahead) * DAYS_PER_YEAR / HALF_YEAR_DAYS
    demand = Demand(
        model=model,
        why=why_words(model, events, shapes.shapes[best], today),
        sizes=size_shares(events),
        pieces=0 if model is Model.ENDED else pieces,
        days=days,
        known_days=events[0].days_ago,
        first_used=today - timedelta(events[0].days_ago),
        last_used=today - timedelta(events[-1].days_ago),
        pieces_per_year=0.0 if model is Model.ENDED else rate,
    )
    return Forecast(demand, days_ago, weights, shapes, told)


def _told_bursts(model: Model, days_ago: Chances, shapes: Shapes, best: int) -> Bursts:
    """Weigh whether events come in bursts, days counted by the likeliest course of demand."""
    if model is Model.NEW:
        return bursts(days_ago, float(max(days_ago.max(), LEAST_KNOWN_DAYS)))
    by_rate = np.append(0.0, np.cumsum(np.exp(shapes.log_rates[best])))
    return bursts(by_rate[days_ago.astype(int)], float(shapes.days))


def _model(weights: Chances, shapes: Shapes, days_ago: Chances) -> Model:
    unused_days = float(days_ago.min())
    times = occasions(days_ago)
    enough = unused_days >= ENDED_DAYS and times >= LEAST_OCCASIONS
    if enough and (1 - unused_days / shapes.days) ** times < BELIEVED_CHANCE:
        return Model.ENDED
    sums: dict[Model, float] = defaultdict(float)
    for shape, weight in zip(shapes.shapes, weights, strict=False):
        sums[shape.model] += weight
    sums[Model.NEW] = float(weights[-1])
    return max(sums, key=lambda model: (sums[model], model is Model.STEADY))


def _likeliest(model: Model, weights: Chances, shapes: Shapes) -> int:
    """Return the position of the likeliest shape of a model; of any where no shape is of it."""
    own = np.array([shape.model is model for shape in shapes.shapes])
    return int((weights[:-1] * (own if own.any() else 1)).argmax())
