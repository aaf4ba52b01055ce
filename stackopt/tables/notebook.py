"""What a notebook needs of an answer: tables with headings, and long work that is told of and can be interrupted."""

from __future__ import annotations

import signal
import threading
from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager
from html import escape
from types import FrameType

import pandas as pd

from stackopt.choose.patience import Patience

# So many rows are shown of a long table.
MOST_ROWS = 20

# Called with an objective's name, the best value found and its bound, many times a second.
Progress = Callable[[str, float, float], None]


def tables_html(tables: Mapping[str, pd.DataFrame], *, before: str = "", behind: str = "") -> str:
    """Return tables as HTML, the empty ones left out; `before` and `behind` are HTML already."""
    shown = [
        f"<h4>{escape(name)}{_of_how_many(table)}</h4>{table.head(MOST_ROWS).to_html(float_format=_short, na_rep='')}"
        for name, table in tables.items()
        if len(table)
    ]
    return "".join((before, *shown, behind))


def _of_how_many(table: pd.DataFrame) -> str:
    return "" if len(table) <= MOST_ROWS else f" (the first {MOST_ROWS} of {len(table)})"


def _short(value: float) -> str:
    return f"{value:.3f}".rstrip("0").rstrip(".")


@contextmanager
def interruptible(time_limit: float | None, progress: Progress | None) -> Iterator[Patience]:
    """Yield the patience of one solve; the first interrupt ends it with the best found, a second one at once.

    Only the main thread hears an interrupt; elsewhere a time limit ends the work.
    """
    patience = Patience.of_seconds(time_limit)
    patience.told = progress or _nobody
    if threading.current_thread() is not threading.main_thread():
        yield patience
        return
    before = signal.getsignal(signal.SIGINT)

    def stop(_signal: int, _frame: FrameType | None) -> None:
        patience.stopped = True
        signal.signal(signal.SIGINT, before)

    signal.signal(signal.SIGINT, stop)
    try:
        yield patience
    finally:
        signal.signal(signal.SIGINT, before)


def _nobody(_objective: str, _best: float, _bound: float) -> None:
    """Hear nothing: a solve that somebody hears can be interrupted."""
