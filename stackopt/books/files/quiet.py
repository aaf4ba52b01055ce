"""Standard error put aside: a reader written in Rust prints a trace there before its panic can be caught."""

from __future__ import annotations

import os
from collections.abc import Iterator
from contextlib import contextmanager
from threading import Lock

STANDARD_ERROR = 2


class _Aside:
    """The true standard error while any thread has put it aside."""

    lock = Lock()
    users = 0
    true_descriptor = -1


@contextmanager
def standard_error_aside() -> Iterator[None]:
    """Let nothing be printed on the process's standard error; several threads may do so at once."""
    with _Aside.lock:
        if _Aside.users == 0:
            _put_aside()
        _Aside.users += 1
    try:
        yield
    finally:
        with _Aside.lock:
            _Aside.users -= 1
            if _Aside.users == 0:
                _put_back()


def _put_aside() -> None:
    try:
        _Aside.true_descriptor = os.dup(STANDARD_ERROR)
    except OSError:  # a program may be started without one
        _Aside.true_descriptor = -1
        return
    nowhere = os.open(os.devnull, os.O_WRONLY)
    os.dup2(nowhere, STANDARD_ERROR)
    os.close(nowhere)


def _put_back() -> None:
    if _Aside.true_descriptor >= 0:
        os.dup2(_Aside.true_descriptor, STANDARD_ERROR)
        os.close(_Aside.true_descriptor)
