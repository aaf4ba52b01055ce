"""A long solve on the command line: how far it is, and Ctrl-C for what is found so far."""

from __future__ import annotations

import math
import signal
import sys
import time
from collections.abc import Iterator
from contextlib import contextmanager
from types import FrameType

import click

from stackopt.choose.patience import Patience

FIRST_AFTER_SECONDS = 2.0
ON_A_TERMINAL_SECONDS, ELSEWHERE_SECONDS = 0.5, 10.0


BEST_FOUND, ANSWER = "the best found so far", "the answer"


@contextmanager
def watched(patience: Patience, what: str = BEST_FOUND) -> Iterator[None]:
    """Tell on standard error how far a solve is, and let the first Ctrl-C end it.

    A second Ctrl-C ends the program at once.

    Parameters
    ----------
    patience
        That of the solve.
    what
        What then follows: the best found, or an answer that stands and is only being explained.
    """
    teller = Teller() if what == BEST_FOUND else Explainer()
    patience.told = teller.tell
    before = signal.getsignal(signal.SIGINT)

    def stop(_signal: int, _frame: FrameType | None) -> None:
        patience.stopped = True
        signal.signal(signal.SIGINT, before)
        teller.clear()
        click.echo(f"Stopping: {what} follows. Ctrl-C once more ends at once.", err=True)

    signal.signal(signal.SIGINT, stop)
    try:
        yield
    finally:
        signal.signal(signal.SIGINT, before)
        teller.clear()


class Teller:
    """Writes a line now and then: over itself on a terminal, one below the other elsewhere."""

    def __init__(self) -> None:
        self.started = time.monotonic()
        self.told_at = self.started + FIRST_AFTER_SECONDS - ELSEWHERE_SECONDS
        self.on_a_terminal = sys.stderr.isatty()
        self.shown = False

    def tell(self, objective: str, best: float, bound: float) -> None:
        """Say what a pass has found, unless something was said just before."""
        now = time.monotonic()
        if now - self.started < FIRST_AFTER_SECONDS:
            return
        if now - self.told_at < (ON_A_TERMINAL_SECONDS if self.on_a_terminal else ELSEWHERE_SECONDS):
            return
        self.told_at = now
        self.clear()
        words = self.words(objective, best, bound)
        click.echo(f"{now - self.started:.0f} s: {words}", err=True, nl=not self.on_a_terminal)
        self.shown = self.on_a_terminal

    def words(self, objective: str, best: float, bound: float) -> str:
        """Return what is said."""
        return _words(objective, best, bound)

    def clear(self) -> None:
        """Wipe the line on a terminal."""
        if self.shown:
            click.echo("\r\x1b[2K", err=True, nl=False)
            self.shown = False


class Explainer(Teller):
    """Says that the answer stands while its reasons are looked for."""

    def words(self, _objective: str, _best: float, _bound: float) -> str:
        """Return what is said."""
        return "the answer stands, and its reasons are looked for; Ctrl-C ends that"


def _words(objective: str, best: float, bound: float) -> str:
    from stackopt.report.answer.proof import WORDINGS  # noqa: PLC0415 - rich is only loaded when there is something to say

    wording = WORDINGS[objective]
    found = f"best found {wording.write(best)}" if math.isfinite(best) else "nothing found yet"
    proven = f", at least {wording.write(max(0.0, bound))}" if math.isfinite(bound) else ""
    return f"{wording.measure.removesuffix(' *')}: {found}{proven}"
