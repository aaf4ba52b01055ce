"""Works out ahead what the page of Orders shows, so that who opens it after a press does not wait for it."""

from __future__ import annotations

import threading

from flask import Flask

from stackopt.problems import InputError
from stackopt.web.desk.once_each import to_ring
from stackopt.web.desk.room import Room

# A press is followed by the page it leads to, which goes first.
PAUSE_SECONDS = 0.4


class Ahead:
    """One thread beside the pages; `wake` is called with the last command of the ledger."""

    def __init__(self, app: Flask, room: Room) -> None:
        self._app, self._room = app, room
        self._woken = threading.Event()
        self._newest = 0
        threading.Thread(target=self._run, daemon=True).start()

    def wake(self, newest: int) -> None:
        """Have it work for a state of the ledger that it has not worked for."""
        if newest != self._newest:
            self._newest = newest
            self._woken.set()

    def _run(self) -> None:
        while True:
            self._woken.wait()
            self._woken.clear()
            if self._woken.wait(PAUSE_SECONDS):
                continue
            try:
                with self._app.app_context():
                    to_ring(self._room.ledger)
            except InputError:
                # Whoever opens the page is told; nobody waits here.
                continue
