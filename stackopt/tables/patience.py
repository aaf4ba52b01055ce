"""Long work in a notebook: who is told how far it is, and an interrupt that gives the best found so far."""

from __future__ import annotations

import signal
import threading
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from types import FrameType

from stackopt.choose.patience import Patience

# Called with an objective's name, the best value found and its bound, many times a second.
Progress = Callable[[str, float, float], None]


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
