"""Cells of an `.ods` sheet whose type says more than their number: money with its currency, percentages."""

from __future__ import annotations

from stackopt.books.files.opendocument import remarks
from stackopt.books.files.sheets import WithUnit

CONTENT = b"""<office:body><table:table table:name="List"><table:table-row>
<table:table-cell office:value-type="currency" office:currency="SEK"
 office:value="41.3"><text:p>41,30 kr</text:p></table:table-cell>
<table:table-cell office:value-type="percentage" office:value="0.05"><text:p>5%</text:p></table:table-cell>
<table:table-cell office:value-type="float" office:value="3"><text:p>3</text:p></table:table-cell>
</table:table-row></table:table></office:body>"""


def test_money_shows_its_currency_and_a_percentage_its_sign() -> None:
    shows = remarks(CONTENT, b"")["List"].shows
    shown = {place: show(number) for (place, show), number in zip(sorted(shows.items()), (41.3, 0.05), strict=True)}
    assert shown == {(0, 0): WithUnit(41.3, "sek"), (0, 1): WithUnit(5.0, "%")}
