"""The step of an instrument that states none, as its readings show it: a vernier of 0.05 mm shows no 0.13 mm."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping, Sequence
from fractions import Fraction

from stackopt.books.engine_text.section import FileSection
from stackopt.books.engine_text.slips import INCH_FACTORS
from stackopt.engine.cautions import About, Caution
from stackopt.engine.readings.deck import BELOW_WORDS, PROUD_WORDS, split_side
from stackopt.problems import UnreadableError
from stackopt.units import LENGTH_UNITS, length_mm, split_number

DECIMALS = re.compile(r"^\s*\d*\.?(\d*)")
# The coarsest instruments for a deck show a thousandth of an inch, or a tenth of a millimetre; common practice.
COARSEST_INCH_MM, COARSEST_MM = 0.0254, 0.1
# Steps of instruments that are coarser than a hundredth of a millimetre, the coarsest first. One reading in ten, or in
# five, is a multiple of them by chance, so all of several hardly are.
COARSE_STEPS_MM = (Fraction("0.1"), Fraction("0.05"))
SEVERAL = 2


def last_place_mm(tables: Sequence[FileSection]) -> float:
    """Return the last place to which the readings of one cylinder are written, mm; 0 where none can be read."""
    texts = [text for table in tables for text in _texts(table.entries.get("value"))]
    places_mm = [place_mm for text in texts if (place_mm := _last_place_mm(text)) is not None]
    return min(places_mm, default=0.0)


def common_step_mm(engine: Mapping[str, object]) -> float:
    """Return the coarse step of which all deck readings of an engine are multiples, mm; 0 where there is none.

    Readings whose resolution is stated do not count.
    """
    read_mm = [value_mm for text in _unstated(engine) if (value_mm := _exact_mm(text)) is not None]
    if len(read_mm) < SEVERAL or not any(read_mm):
        return 0.0
    fitting = (step for step in COARSE_STEPS_MM if all((value / step).denominator == 1 for value in read_mm))
    return float(next(fitting, 0))


def step_cautions(step_mm: float) -> Iterator[Caution]:
    """Say which step counts where none is stated and the readings show a coarse one."""
    if step_mm:
        text = (
            "every deck reading is a multiple of {}, so that counts as the step of the instrument. Where it is finer, "
            "state resolution in the readings."
        )
        yield Caution(About.RESOLUTION_NOT_STATED, "", text, (step_mm,))


def _unstated(engine: Mapping[str, object]) -> Iterator[str]:
    for cylinder in _tables(engine.get("cylinder")):
        for reading in _tables(cylinder.get("reading")):
            if "resolution" not in reading:
                yield from _texts(reading.get("value"))


def _tables(value: object) -> Iterable[Mapping[str, object]]:
    return [one for one in value if isinstance(one, dict)] if isinstance(value, list) else []


def _texts(value: object) -> list[str]:
    return [text for text in (value if isinstance(value, list) else [value]) if isinstance(text, str)]


def _exact_mm(text: str) -> Fraction | None:
    try:
        number, unit = split_number(split_side(text, PROUD_WORDS | BELOW_WORDS)[0])
    except UnreadableError:
        return None
    return number * LENGTH_UNITS[unit] if unit in LENGTH_UNITS else None


def _last_place_mm(text: str) -> float | None:
    """Return what one more in the last place written is, mm: 0.01 for ``0.11 mm proud``, 0.0254 for ``0.004 in``.

    None for what cannot be read, and for 0, which is written short.
    """
    measure = split_side(text, PROUD_WORDS | BELOW_WORDS)[0]
    try:
        number, unit = split_number(measure)
        if not number:
            return None
        decimals = len(DECIMALS.findall(measure)[0])
        place_mm = length_mm(f"1e-{decimals} {unit}")
    except UnreadableError:
        return None
    return min(place_mm, COARSEST_INCH_MM if LENGTH_UNITS.get(unit) in INCH_FACTORS else COARSEST_MM)
