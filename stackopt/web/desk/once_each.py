"""What takes a while to work out, once for each state of the ledger: what to reorder, and whom to ring."""

from __future__ import annotations

from msgspec.structs import replace

from stackopt.choose.asking import Call, calls, what_to_ask
from stackopt.choose.choice_records import Request
from stackopt.choose.patience import Patience, TimeIsOverError
from stackopt.choose.solve.plan import plan
from stackopt.stocking import restock
from stackopt.stocking.filling import shops_policy
from stackopt.stocking.reorder.restock_records import Restock
from stackopt.web.desk.answers import with_defaults
from stackopt.web.desk.remembered import RememberedLedger
from stackopt.web.desk.room import room

# What takes longer ends with the best found.
ORDERS_SECONDS = 20.0


def restock_answer(ledger: RememberedLedger) -> Restock:
    """Return what to reorder."""
    policy, today = shops_policy(ledger.shown), room().today()

    def work_out() -> Restock:
        engines = with_defaults(ledger.engines(), ledger)
        supply = ledger.supply(asking=[engine.name for engine in engines], today=today)
        asked = Request(engines, today, (), Patience.of_seconds(ORDERS_SECONDS))
        return restock(asked, supply, ledger.usage(), policy, ledger.deliveries(today))

    return ledger.remembered(("restock", today, policy.review_days), work_out)


def to_ring(ledger: RememberedLedger) -> tuple[Call, ...] | None:
    """Return what to ask whom; None where that could not be worked out in time."""
    # The same plan lies under both: who is not blocked there has nothing to ask for.
    if not restock_answer(ledger).blocked:
        return ()
    today = room().today()

    def work_out() -> tuple[Call, ...]:
        engines = with_defaults(ledger.engines(), ledger)
        supply = ledger.supply(asking=[engine.name for engine in engines], today=today, at="")
        asked = Request(engines, today, (), Patience.of_seconds(ORDERS_SECONDS))
        refused, choice = ledger.refused(), plan(asked, supply)
        asking = replace(asked, patience=Patience.of_seconds(ORDERS_SECONDS))
        return calls(what_to_ask(asking, supply, choice), supply, refused)

    try:
        return ledger.remembered(("to ring", today), work_out)
    except TimeIsOverError:
        # Not remembered: who looks again later has it tried again.
        return None
