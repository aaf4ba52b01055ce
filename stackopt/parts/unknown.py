"""Names in an engine's record that no book knows: a slip of the pen more often than something new."""

from __future__ import annotations

import difflib
from collections.abc import Iterable, Iterator, Mapping, Sequence

from stackopt.engine.engine_records import Engine
from stackopt.parts.part_records import ANY_FAMILY, Part
from stackopt.problems import Place, Problem

HOW_MANY = 3


def unknown_names(engines: Iterable[Engine], parts: Mapping[str, Part]) -> list[Problem]:
    """Return a problem for each family that no part names, and each part already fitted that no book lists.

    Where parts name no family at all, none is unknown.
    """
    families = sorted({family for part in parts.values() for family in part.families} - {ANY_FAMILY})
    numbers = sorted(parts)
    return [problem for engine in engines for problem in _unknown(engine, families, numbers)]


def _unknown(engine: Engine, families: Sequence[str], numbers: Sequence[str]) -> Iterator[Problem]:
    if families and engine.family not in families:
        place = Place(item=f"engine {engine.name}, family")
        yield Problem(place, engine.family, "a family that some part in the books fits", _near(engine.family, families))
    for cylinder, fitted in engine.pinned.items():
        for number in fitted:
            if number not in numbers:
                place = Place(item=f"engine {engine.name}, fitted on {cylinder}")
                yield Problem(place, number, "a part number that some book lists", _near(number, numbers))


def _near(name: str, known: Sequence[str]) -> str:
    """Name the nearest known ones, upper and lower case alike."""
    as_written = {each.casefold(): each for each in known}
    near = difflib.get_close_matches(name.casefold(), list(as_written), HOW_MANY, cutoff=0.0)
    return f"The nearest known: {', '.join(as_written[each] for each in near)}." if near else "The books list no parts."
