"""What is put into a call, checked before anything is read: a slip there is told as one in a sheet is."""

from __future__ import annotations

import difflib
import functools
from collections.abc import Callable, Mapping, Sequence
from datetime import date, datetime
from pathlib import Path
from typing import Any, ParamSpec, TypeVar

import pandas as pd
from msgspec.structs import replace

from stackopt.engine.records import Engine
from stackopt.problems import InputError, Place, Problem

Parameters = ParamSpec("Parameters")
Returned = TypeVar("Returned")
Given = TypeVar("Given")
# What the command line calls it: what a call calls it.
PARAMETERS = {"--prefer": "prefer", "--trade-off": "trade_off", "--try": "in_hand"}


def in_words_of_calls(call: Callable[Parameters, Returned]) -> Callable[Parameters, Returned]:
    """Have a problem name the parameter of the call where it would name the option of the command."""

    @functools.wraps(call)
    def called(*given: Parameters.args, **named: Parameters.kwargs) -> Returned:
        try:
            return call(*given, **named)
        except InputError as error:
            problems = [_renamed(problem) for problem in error.problems]
            raise InputError(*problems, questions=error.questions) from None

    return called


def _renamed(problem: Problem) -> Problem:
    item = PARAMETERS.get(problem.place.item)
    return problem if item is None else replace(problem, place=replace(problem.place, item=item))


def day_of(today: Any) -> date:
    """Return the day to reckon from; today where none is given.

    Raises
    ------
    InputError
        When it is no day.
    """
    if today is None:
        return date.today()
    if isinstance(today, datetime):
        return today.date()
    if isinstance(today, date):
        return today
    try:
        return date.fromisoformat(today)
    except (TypeError, ValueError):
        raise InputError(Problem(Place(item="today"), repr(today), "a day, as datetime.date(2027, 2, 12)")) from None


def names_of(names: str | Sequence[str]) -> tuple[str, ...]:
    """Return names that were given one by one, or in one text with commas between them."""
    return tuple(name.strip() for name in names.split(",")) if isinstance(names, str) else tuple(names)


def check_frames(frames: Mapping[str, Any]) -> None:
    """Refuse what is no frame.

    Raises
    ------
    InputError
        When one is something else.
    """
    problems = [
        Problem(Place(item=name), f"a {type(table).__name__}", "a pandas data frame", "Wrap it: pandas.DataFrame(…).")
        for name, table in frames.items()
        if table is not None and not isinstance(table, pd.DataFrame)
    ]
    if problems:
        raise InputError(*problems)


def named_engine(given: Given, known: Sequence[Engine]) -> Given | Engine:
    """Return the engine that bears a name; what is no name comes back as it is: a path, a text, a mapping, an engine.

    Raises
    ------
    InputError
        When no engine bears it, and no file does.
    """
    if not isinstance(given, str) or "\n" in given:
        return given
    by_name: dict[str, Engine] = {engine.name: engine for engine in known}
    if given in by_name:
        return by_name[given]
    if given.endswith(".toml") or Path(given).exists():
        return given
    near = difflib.get_close_matches(str(given), list(by_name), 3, cutoff=0.0)
    mend = f"The nearest known: {', '.join(near)}." if near else "The books list no engines."
    raise InputError(Problem(Place(item="engine"), given, "an engine of the books, or an engine file", mend))
