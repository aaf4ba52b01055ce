"""What is said of a restock in words, on the terminal and on the page alike."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date

from stackopt.choose.choice_records import Status
from stackopt.report.wording import counted, written_date
from stackopt.stocking.demand.service import KeptService
from stackopt.stocking.reorder.restock_records import PartLine, Restock
from stackopt.units import money


def runs_out_words(line: PartLine, today: date) -> str:
    """Say when the shelf is empty without the order: now, a day, or nothing where nobody can tell."""
    if line.lacking:
        return f"now: {', '.join(line.engines)} {'wait' if len(line.engines) > 1 else 'waits'}"
    if line.runs_out is None:
        return ""
    return "now" if line.runs_out <= today else written_date(line.runs_out)


def service_heading(service: Sequence[KeptService]) -> str:
    """Say whether the record speaks against the chances that were asked for."""
    short = sum(each.falls_short for each in service)
    found = (
        f"{counted(short, 'part')} less often than asked, and that is more than chance"
        if short
        else "as often as was asked, as far as these orders tell"
    )
    return f"How often the shelf lasted until an order came: {found}"


def proof_words(restock: Restock) -> str:
    """Say whether cheaper orders are ruled out."""
    if restock.status is Status.PROVEN:
        return "No other orders cost less, freight, own work and keeping included: proven."
    off = money(round(restock.cost_cents - restock.bound_cents))
    return f"Best found: at most {off} dearer than the best possible, freight, own work and keeping included."
