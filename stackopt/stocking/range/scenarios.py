"""Scenarios of engines to come, by class, and which of their engines share no part."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Mapping, Sequence

from stackopt.stocking.range.seats import Seats

# The engines of one scenario, by class.
Scenario = Mapping[Seats, int]


def engines_in(scenario: Scenario) -> int:
    """Return how many engines a scenario has."""
    return sum(scenario.values())


def split_scenarios(scenarios: Sequence[Scenario]) -> list[list[Scenario]]:
    """Split scenarios into groups of engines that share no part with engines of another group."""
    roots: dict[str, str] = {}

    def root(name: str) -> str:
        while roots.setdefault(name, name) != name:
            name = roots[name]
        return name

    named = {seats: _parts(seats) for scenario in scenarios for seats in scenario}
    for parts in named.values():
        roots.update({root(other): root(parts[0]) for other in parts[1:]})
    groups: dict[str, list[Counter[Seats]]] = {}
    for index, scenario in enumerate(scenarios):
        for seats, count in scenario.items():
            own = groups.setdefault(root(named[seats][0]), [Counter() for _ in scenarios])
            own[index][seats] += count
    return [list[Scenario](own) for own in groups.values()]


def _parts(seats: Seats) -> list[str]:
    return sorted({part for seat in seats for way in seat for part, _ in way})


def useful_pieces(scenarios: Sequence[Scenario]) -> dict[str, int]:
    """Return of each part the most pieces that any scenario can use."""
    most: dict[str, int] = defaultdict(int)
    for scenario in scenarios:
        wanted = Counter[str]()
        for seats, count in scenario.items():
            for seat in seats:
                ways = Counter[str]()
                for way in seat:
                    ways |= Counter(dict(way))
                for part, pieces in ways.items():
                    wanted[part] += count * pieces
        for part, pieces in wanted.items():
            most[part] = max(most[part], pieces)
    return most


def pieces_of_parts(seats: Seats, parts: frozenset[str]) -> int:
    """Return the least pieces, of these parts together, that an engine takes."""
    return sum(min(sum(pieces for part, pieces in way if part in parts) for way in seat) for seat in seats)
