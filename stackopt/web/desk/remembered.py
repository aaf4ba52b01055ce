"""The ledger as the pages read it: what was read or worked out once holds until somebody presses, for everybody.

A state of the ledger is told by its last command and by the link of its chain, which hangs on all that is stored.
A page is made from one state: where another press came in between, it is made anew.
"""

from __future__ import annotations

import threading
from collections import OrderedDict
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from functools import wraps
from typing import Any, ClassVar, TypeVar

from flask import g, has_request_context, request
from msgspec import Struct, field

from stackopt.shop.database.address import Address
from stackopt.shop.database.opening import open_existing
from stackopt.shop.database.sqlite_file import PATIENCE_SECONDS
from stackopt.shop.entries.state import StateOfLedger, state_of
from stackopt.shop.ledger import Ledger

MOST_KEPT = 400
# A page that was overtaken by presses so often shows what it has.
MOST_TURNS = 2
Found = TypeVar("Found")


class KeptResult(Struct):
    """Where one result is kept; its lock lets the second who asks wait for the first."""

    lock: threading.Lock = field(default_factory=threading.Lock)
    found: Any = None
    is_there: bool = False


class Watch(threading.local):
    """What one thread reads: the state that it wants, the one that it saw last, and how often it saw another."""

    wanted: StateOfLedger | None = None
    seen = StateOfLedger()
    overtaken = 0


class RememberedLedger(Ledger):
    """A ledger whose reading methods answer from memory as long as nothing was stored."""

    REMEMBERED: ClassVar[tuple[str, ...]] = (
        *("supply", "engine", "engines", "held_choices", "known_engines", "balances", "usage", "deliveries"),
        *("orders", "board", "own_thicknesses", "common_offset", "build", "refused", "history", "prices", "events"),
        *("branches", "places", "bins", "due_transfers", "built_at", "people"),
    )

    def __init__(self, written: str) -> None:
        address = Address.read(written)
        super().__init__(open_existing(address, PATIENCE_SECONDS), address.shown)
        self._kept: OrderedDict[tuple[object, ...], KeptResult] = OrderedDict()
        self._lock = threading.Lock()
        self._watch = Watch()

    @contextmanager
    def reading(self) -> Iterator[Any]:
        """Open a snapshot; where it is of another state than what is worked out goes by, that is noted."""
        with super().reading() as connection:
            seen = state_of(connection)
            if self._watch.wanted not in (None, seen):
                self._watch.overtaken += 1
            self._watch.seen = seen
            yield connection

    def state(self) -> StateOfLedger:
        """Return the state that the page in hand is made from; where none is in hand, the state now."""
        pinned: StateOfLedger | None = g.get("state_of_ledger") if _is_a_look() else None
        if pinned is not None:
            return pinned
        with self.reading():
            state = self._watch.seen
        if _is_a_look():
            g.state_of_ledger = state
        return state

    def remembered(self, what: tuple[object, ...], work_out: Callable[[], Found]) -> Found:
        """Return what was read or worked out for this state of the ledger; who comes second waits for it."""
        state = self.state()
        kept = self._kept_at((state, *what))
        with kept.lock:
            if kept.is_there:
                known: Found = kept.found
                return known
            return self._worked_out(state, work_out, kept)

    def _worked_out(self, state: StateOfLedger, work_out: Callable[[], Found], kept: KeptResult) -> Found:
        """Work something out; keep it where all that was read for it was of this state."""
        watch = self._watch
        before, outer = watch.overtaken, watch.wanted
        watch.wanted = state
        try:
            found = work_out()
        finally:
            watch.wanted = outer
        if watch.overtaken == before:
            kept.found, kept.is_there = found, True
        elif _is_a_look():
            g.overtaken = True
        return found

    def _kept_at(self, key: tuple[object, ...]) -> KeptResult:
        with self._lock:
            kept = self._kept.setdefault(key, KeptResult())
            self._kept.move_to_end(key)
            while len(self._kept) > MOST_KEPT:
                self._kept.popitem(last=False)
            return kept


def in_turns(make_page: Callable[[], Any]) -> Any:
    """Make a page from one state of the ledger: anew where a press came in between."""
    for _ in range(MOST_TURNS):
        page = make_page()
        if not (_is_a_look() and g.pop("overtaken", False)):
            return page
        g.pop("state_of_ledger", None)
    return page


def _is_a_look() -> bool:
    """Tell whether a page is only looked at; what is pressed always goes by the ledger as it is now."""
    return has_request_context() and request.method in ("GET", "HEAD")


def _remembering(name: str) -> Callable[..., Any]:
    method = getattr(Ledger, name)

    @wraps(method)
    def remembered(self: RememberedLedger, *asked: Any, **named: Any) -> Any:
        told = (*map(_frozen, asked), *((key, _frozen(value)) for key, value in sorted(named.items())))
        return self.remembered((name, *told), lambda: method(self, *asked, **named))

    return remembered


def _frozen(value: object) -> object:
    if isinstance(value, set | frozenset):
        return frozenset(value)
    return tuple(value) if isinstance(value, list) else value


for _name in RememberedLedger.REMEMBERED:
    setattr(RememberedLedger, _name, _remembering(_name))
