"""How measures, money and days stand on a page: in both systems, the one that this browser wants first."""

from __future__ import annotations

from datetime import date, datetime

from flask import session

from stackopt.problems import Problem
from stackopt.report.wording import chance, counted, written_date
from stackopt.units import MM_PER_INCH, money
from stackopt.web.desk.room import inch_first


def length(length_mm: float | None) -> str:
    """Write a length in both systems; a dash where it is not known."""
    if length_mm is None:
        return "–"
    both = [f"{length_mm:.3f} mm", f"{length_mm / MM_PER_INCH:.4f} in"]
    return " · ".join(reversed(both) if inch_first() else both)


def short(length_mm: float) -> str:
    """Write a length in the system that this browser wants first alone, where there is little room."""
    return f"{length_mm / MM_PER_INCH:.4f} in" if inch_first() else f"{length_mm:.3f} mm"


def thick(length_mm: float) -> str:
    """Write a gasket's thickness in both systems; a dash where it has none."""
    return length(length_mm) if length_mm else "–"


def ratio(value: float | None) -> str:
    """Write a compression ratio."""
    return "not known" if value is None else f"{value:.2f}"


def day(value: date | None) -> str:
    """Write a day; a dash where there is none."""
    return "–" if value is None else written_date(value)


def moment(at: str) -> str:
    """Write when a command was carried out, by the clock of the machine that serves the page."""
    here = datetime.fromisoformat(at).astimezone()
    return f"{written_date(here.date())}, {here:%H:%M}"


def cents(value: int | None) -> str:
    """Write money; a dash where the sum is not known."""
    return "–" if value is None else money(value)


def chance_words(value: float | None) -> str:
    """Write a chance as so many of 100; a word where it is not known."""
    return "not known" if value is None else chance(value)


def joined(words: object) -> str:
    """Write several things with commas between them."""
    return ", ".join(map(str, words)) if isinstance(words, list | tuple | set | frozenset) else str(words)


def problem_words(problem: Problem) -> str:
    """Write a problem for its field: what stands there and what was expected, without the place, which is seen."""
    found = f"{problem.found}? " if problem.found else ""
    return f"{found}Expected {problem.expected}. {problem.mend}".strip()


def unit_first() -> str:
    """Return the unit in which this browser types lengths unless it says otherwise."""
    return "in" if session.get("units") == "inch" or inch_first() else "mm"


FILTERS = {
    "measure": length,
    "short": short,
    "thick": thick,
    "ratio": ratio,
    "day": day,
    "moment": moment,
    "money": cents,
    "chance": chance_words,
    "counted": counted,
    "joined": joined,
    "problem_words": problem_words,
}
