"""One call for many values of one parameter, side by side, here or by others."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from concurrent.futures import Executor
from functools import partial
from typing import Any, TypeVar

from stackopt.side_by_side import each, each_by
from stackopt.tables.call import in_words_of_calls

Answered = TypeVar("Answered")
Value = TypeVar("Value")


@in_words_of_calls
def sweep(
    call: Callable[..., Answered],
    parameter: str,
    values: Iterable[Value],
    /,
    *given: Any,
    executor: Executor | None = None,
    **named: Any,
) -> dict[Value, Answered]:
    """Answer one call for each value of one parameter.

    Parameters
    ----------
    call
        `fit`, `plan`, `restock` or `keep_range`.
    parameter
        The name of the parameter that changes, as ``"budget_cents"``.
    values
        Its values, each once.
    given, named
        What else the call takes; it is the same for all.
    executor
        Who works the values out: any executor of `concurrent.futures`. Else threads of this process do, one a
        processor. What does not come back, and what cannot be sent, is worked out here.

    Returns
    -------
    dict
        The answer by value, in the order of the values.

    Raises
    ------
    InputError
        As the call does.
    """
    listed = list(values)
    work = partial(_answered, call, parameter, given, named)
    came: list[Answered | None] = [None for _ in listed]
    if executor is not None:
        came = each_by(executor, work, listed, lambda: False)
    missing = [value for value, answer in zip(listed, came, strict=True) if answer is None]
    made = iter(each(work, missing))
    return {value: next(made) if answer is None else answer for value, answer in zip(listed, came, strict=True)}


def _answered(
    call: Callable[..., Answered], parameter: str, given: tuple[Any, ...], named: dict[str, Any], value: Any
) -> Answered:
    return call(*given, **named, **{parameter: value})
