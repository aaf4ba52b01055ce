"""Questions that a command stops at: answered in the terminal, or by an option where nobody sits there."""

from __future__ import annotations

import click

from stackopt.problems import InputError, Place, Problem


def check_agreed(question: str, option: str = "--yes") -> None:
    """Ask whether to go on, and end the command where the answer is no.

    Parameters
    ----------
    question
        What is asked.
    option
        What answers it on the command line.

    Raises
    ------
    InputError
        When nobody is there to answer; names the question and what answers it.
    """
    if not is_agreed(question, option):
        raise click.Abort


def is_agreed(question: str, option: str = "--yes") -> bool:
    """Ask a question that has yes and no for answers; raise as `check_agreed` where nobody is there to answer."""
    try:
        return click.confirm(question)
    except click.Abort as abort:
        # Click says the same of an empty input and of Ctrl-C.
        if not isinstance(abort.__context__, EOFError):
            raise
        mend = f"Nothing was stored. If yes: the same command with {option}."
        raise InputError(Problem(Place(item="asked"), question, "yes or no, and nobody answers", mend)) from None
