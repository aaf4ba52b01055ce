"""What takes a while to work out, once for each state of the ledger: what to reorder, and whom to ring."""

from __future__ import annotations

import threading
from collections import OrderedDict
from collections.abc import Callable
from typing import Any, TypeVar

from msgspec import Struct, field

from stackopt.choose.asking import Call, calls, what_to_ask
from stackopt.choose.patience import Patience
from stackopt.choose.records import Request
from stackopt.choose.solve.plan import plan
from stackopt.shop.ledger import Ledger
from stackopt.stocking import restock
from stackopt.stocking.reorder.records import Policy, Restock
from stackopt.web.desk.answers import with_defaults
from stackopt.web.desk.room import room

MOST_KEPT = 16
# What takes longer ends with the best found.
ORDERS_SECONDS = 20.0
Kind = TypeVar("Kind")


class KeptResults(Struct):
    """What was worked out last, by what it is, the ledger's last command and the day."""

    found: OrderedDict[tuple[object, ...], Any] = field(default_factory=OrderedDict)
    lock: threading.Lock = field(default_factory=threading.Lock)


KEPT = KeptResults()


def kept(what: str, ledger: Ledger, work_out: Callable[[], Kind], *more: object) -> Kind:
    """Return what was worked out for this state of the ledger; who comes second waits for it."""
    newest = ledger.events(1)
    key = (what, ledger.shown, newest[0].number if newest else 0, room().today(), *more)
    with KEPT.lock:
        if key not in KEPT.found:
            KEPT.found[key] = work_out()
            while len(KEPT.found) > MOST_KEPT:
                KEPT.found.popitem(last=False)
        found: Kind = KEPT.found[key]
        return found


def restock_answer(ledger: Ledger) -> Restock:
    """Return what to reorder."""
    review, today = room().settings.review_days, room().today()

    def work_out() -> Restock:
        engines = with_defaults(ledger.engines(), ledger)
        supply = ledger.supply(asking=[engine.name for engine in engines], today=today)
        asked = Request(engines, today, (), Patience.of_seconds(ORDERS_SECONDS))
        return restock(asked, supply, ledger.usage(), Policy(review_days=review), ledger.deliveries(today))

    return kept("restock", ledger, work_out, review)


def to_ring(ledger: Ledger) -> tuple[Call, ...]:
    """Return what to ask whom."""
    # The same plan lies under both: who is not blocked there has nothing to ask for.
    if not restock_answer(ledger).blocked:
        return ()

    def work_out() -> tuple[Call, ...]:
        engines, today = with_defaults(ledger.engines(), ledger), room().today()
        supply = ledger.supply(asking=[engine.name for engine in engines], today=today)
        asked = Request(engines, today, (), Patience.of_seconds(ORDERS_SECONDS))
        wanted = what_to_ask(asked, supply, plan(asked, supply)) if engines else ()
        return calls(wanted, supply, ledger.refused())

    return kept("to ring", ledger, work_out)
