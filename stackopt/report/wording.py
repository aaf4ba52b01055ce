"""How measures, dates and parts are written for people."""

from __future__ import annotations

from datetime import date

from stackopt.engine.engine_records import Window
from stackopt.units import MM_PER_INCH

ALWAYS = (
    "Mock it up before it turns under power: soft solder or clay at several places of the quench band, and valve "
    "to piston.",
    "Thicknesses are nominal until measured. Measure what you fit and write down what came out.",
    "The instructions of the engine's and the gasket's maker, local rules and, where they apply, a licensed workshop "
    "go before anything said here.",
)


def written_date(day: date) -> str:
    """Write a date as ``7 Feb 2027``."""
    return f"{day.day} {day:%b %Y}"


def counted(number: int, one: str, many: str = "") -> str:
    """Write a count with its noun: ``1 pack``, ``3 packs``."""
    return f"{number} {one if number == 1 else many or one + 's'}"


def both_lengths(length_mm: float) -> str:
    """Write a length in both systems: ``0.890 mm, 0.035 in``."""
    return f"{length_mm:.3f} mm, {length_mm / MM_PER_INCH:.3f} in"


def figure_cell(written: str, *, estimated: bool) -> str:
    """Write a figure for a narrow column, the word below it where it is an estimate."""
    return f"{written}\nestimate" if estimated else written


def thickness(length_mm: float) -> str:
    """Write a gasket's thickness with as many decimals as it needs, at least two: ``0.40 mm``, ``0.508 mm``."""
    digits = f"{length_mm:.3f}"
    return f"{digits.removesuffix('0')} mm"


def off_aim(value: float, window: Window | None, decimals: int, unit: str = "") -> str:
    """Say in words how far a value lies from its aim; empty where there is none."""
    if window is None or window.aim is None:
        return ""
    distance = round(value - window.aim, decimals)
    if distance == 0:
        return "on the aim"
    return f"{abs(distance):.{decimals}f}{unit} {'above' if distance > 0 else 'below'} the aim"


def chance(probability: float) -> str:
    """Write a probability as so many of 100, never as certainty, and never rounded down to impossibility.

    It is known only where something it rests on has a doubt, so it is over 99 of 100 at most.
    """
    of_hundred = round(probability * 100)
    if of_hundred == 100:
        return "over 99 of 100"
    if of_hundred == 0 and probability > 0:
        return "under 1 of 100"
    return f"{of_hundred} of 100"
