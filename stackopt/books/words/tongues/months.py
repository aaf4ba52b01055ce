"""Names of months and of days of the week in several languages, for dates in words."""

from __future__ import annotations

import re
from collections.abc import Mapping

# As dates in words are read: their first three letters.
_ENGLISH = ("Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec")
_TEXTS = (
    "january february march april may june july august september october november december",
    "january february march april may june july august sept october november december",
    "januar februar märz april mai juni juli august september oktober november dezember",
    "jan feb mrz apr mai jun jul aug sep okt nov dez",
    "janvier février mars avril mai juin juillet août septembre octobre novembre décembre",
    "gennaio febbraio marzo aprile maggio giugno luglio agosto settembre ottobre novembre dicembre",
    "enero febrero marzo abril mayo junio julio agosto septiembre octubre noviembre diciembre",
    "janeiro fevereiro março abril maio junho julho agosto setembro outubro novembro dezembro",
    "januari februari maart april mei juni juli augustus september oktober november december",
    "januari februari mars april maj juni juli augusti september oktober november december",
    "januar februar marts april maj juni juli august september oktober november december",
)
_ABROAD: Mapping[str, str] = {
    name: month for text in _TEXTS for name, month in zip(text.split(), _ENGLISH, strict=True)
}
_MONTH = re.compile(rf"\b(?:{'|'.join(sorted(_ABROAD, key=len, reverse=True))})\b\.?", re.IGNORECASE)
# A day of the week before a date says nothing that the date does not.
_DAY_OF_WEEK = re.compile(
    r"(?:mon|tues?|wed(?:nes)?|thu(?:rs)?|fri|sat(?:ur)?|sun)(?:day)?\.?,?\s+(?=\d|[a-z]{3})"
    r"|(?:mo|di|mi|do|fr|sa|so)(?:(?:n|ens|ttwoch|nners|ei|ms|nn)\w*)?\.?,?\s+(?=\d)",
    re.IGNORECASE,
)
_OF = re.compile(r"(?<=\d)\s+de\s+|(?<=[^\W\d])\s+de\s+(?=\d)", re.IGNORECASE)


def in_english(text: str) -> str:
    """Return a date in words with its month in English, cut short, and without a day of the week."""
    bare = _OF.sub(" ", _DAY_OF_WEEK.sub("", text, count=1) if _DAY_OF_WEEK.match(text) else text)
    return _MONTH.sub(lambda found: _ABROAD[found[0].rstrip(".").lower()], bare)
