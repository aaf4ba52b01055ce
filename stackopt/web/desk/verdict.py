"""Mock it up, or no go: what stands largest on the page of an engine and beside its readings, by word and by shape.

Figures alone never say that an engine may run: the best that they can say is that a mock-up is worth its time.
"""

from __future__ import annotations

from enum import StrEnum

from msgspec import Struct

from stackopt.report.card.sheet import CardSheet
from stackopt.report.wording import written_date
from stackopt.units import money


class Verdict(StrEnum):
    """Whether an engine goes together; the value tells the shape that is drawn beside the word."""

    GO = "go"
    LATER = "later"
    NO_GO = "no-go"
    OPEN = "open"


class VerdictWords(Struct, frozen=True):
    """A verdict, its word, and what is to be said with it."""

    verdict: Verdict
    word: str
    words: str


def verdict_of(sheet: CardSheet) -> VerdictWords:
    """Say of what was chosen for an engine whether it goes together, and when."""
    if sheet.blocked:
        return VerdictWords(Verdict.NO_GO, "No go", "nothing that fits can be had in time.")
    if sheet.ready_on is not None and sheet.ready_on > sheet.day:
        pay = f", {money(sheet.spend_cents)} to pay now" if sheet.orders else ""
        return VerdictWords(
            Verdict.LATER, "Fits, with parts to come", f"all here on {written_date(sheet.ready_on)}{pay}."
        )
    if sheet.orders:
        return VerdictWords(Verdict.LATER, "Fits, with parts to buy", f"{money(sheet.spend_cents)} to pay now.")
    return VerdictWords(Verdict.GO, "Mock it up", "these land inside by the readings; all of it is on the shelf.")
