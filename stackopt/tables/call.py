"""What is put into a call, checked before anything is read: a slip there is told as one in a sheet is."""

from __future__ import annotations

import difflib
import functools
from collections.abc import Callable, Mapping, Sequence
from datetime import date, datetime
from numbers import Real
from pathlib import Path
from typing import Any, ParamSpec, TypeVar

import pandas as pd
from msgspec.structs import replace

from stackopt.engine.engine_records import Engine
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
            check_executor(named.get("executor"))
            return call(*given, **named)
        except InputError as error:
            problems = [_renamed(problem) for problem in error.problems]
            raise InputError(*problems, questions=error.questions) from None

    return called


def _renamed(problem: Problem) -> Problem:
    item = PARAMETERS.get(problem.place.item)
    return problem if item is None else replace(problem, place=replace(problem.place, item=item))


def day_of(today: Any) -> date:
    """Return the day to count from; today where none is given.

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
        Problem(Place(item=name), f"a {type(table).__name__}", "a pandas data frame", _to_frame(table))
        for name, table in frames.items()
        if table is not None and not isinstance(table, pd.DataFrame)
    ]
    if problems:
        raise InputError(*problems)


def _to_frame(table: Any) -> str:
    if isinstance(table, pd.Series):
        return "Make it one: .reset_index(), or .to_frame()."
    return "Read it with read_books." if isinstance(table, str | Path) else "Wrap it: pandas.DataFrame(…)."


def shown(given: Any) -> str:
    """Return what was put into a call as a message shows it: a short text as it is, else its type."""
    plain = isinstance(given, str | Path | int | float) or given is None
    return repr(given)[:80] if plain else f"a {type(given).__name__}"


def at_least(least: int, parameter: str, given: Any) -> int:
    """Return a whole number as it is.

    Raises
    ------
    InputError
        When it is none, or less than the least.
    """
    number = _number(given)
    if number is not None and number.is_integer() and number >= least:
        return int(number)
    raise InputError(Problem(Place(item=parameter), shown(given), f"a whole number, {least} or more"))


def seconds_of(time_limit: Any) -> float | None:
    """Return a time limit in seconds; None for none.

    Raises
    ------
    InputError
        When it is no number, or below 0.
    """
    if time_limit is None:
        return None
    seconds = _number(time_limit)
    if seconds is not None and seconds >= 0:
        return seconds
    raise InputError(Problem(Place(item="time_limit"), shown(time_limit), "seconds, 0 or more"))


def _number(given: Any) -> float | None:
    """Return a number, of numpy too, as such; None for anything else, yes and no among it."""
    return float(given) if isinstance(given, Real) and not isinstance(given, bool) else None


def check_executor(executor: Any) -> None:
    """Refuse what takes no tasks.

    Raises
    ------
    InputError
        When it has no `submit`.
    """
    if executor is not None and not hasattr(executor, "submit"):
        mend = "For Dask: client.get_executor()."
        expected = "an executor, as concurrent.futures.ProcessPoolExecutor()"
        raise InputError(Problem(Place(item="executor"), shown(executor), expected, mend))


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
