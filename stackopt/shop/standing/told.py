"""What an offer says of where it comes from, where it was told on the telephone: on what day, and to whom."""

from __future__ import annotations

from datetime import date

from stackopt.parts.part_records import Offer

TOLD = "told on {} to {}"
# After so many days an answer is an old one: prices and days change about once a quarter (common practice, no source).
OLD_AFTER_DAYS = 90


def told_words(day: date, who: str) -> str:
    """Return what stands beside an offer that was told on a day to somebody."""
    return TOLD.format(day.isoformat(), who)


def told_before(offer: Offer) -> tuple[date, str] | None:
    """Return the day on which an offer was told on the telephone, and to whom; None for a line of a list."""
    words = offer.written_at.split(" ", 4)
    if words[:2] != TOLD.split(" ")[:2]:
        return None
    return date.fromisoformat(words[2]), words[4]
