"""Remarks beside the facts of a row: asked about where their words speak of one of these facts."""

from __future__ import annotations

import re
from collections.abc import Sequence

from stackopt.books.files.sheets import Cell
from stackopt.books.tables.columns import Reader
from stackopt.books.tables.notes import NOT_IN_USE, speaks_of_a_fact
from stackopt.books.words.headers import MatchedColumn
from stackopt.books.words.vocabulary import Role
from stackopt.problems import Question, plain_key

USED = "it changes nothing"
LEAVE_ROW_OUT = "leave the row out"
# The same in other languages, by how the words begin: damaged, bent, torn, reserved, not to be used, not yet crushed.
ABROAD = (
    r"\b(?:beschädigt|defekt|verbogen|gerissen|kaputt|reserviert|verliehen|nicht (?:verwenden|verbauen)|unverpresst"
    r"|ab[iî]m[ée]|endommag|déchir|cass[ée]|pli[ée]e?\b|réserv|ne pas|danneggiat|rott[oa]\b|piegat|riservat|non usare"
    r"|dañad|rot[oa]s?\b|doblad|reservad|no usar|beschadigd|kapot|gereserveerd|skada[dt]|trasig|beskadiget|uszkodzon"
    r"|poškozen)"
)
# What changes a thickness, a price, a count, or whether the pieces may be used.
SPEAKS = re.compile(
    rf"{NOT_IN_USE}|{ABROAD}"
    r"|\b(?:(?:un)?compressed|(?:un)?crushed|before (?:torque|compression)|free thickness|as new|inch(?:es)?"
    r"|(?:not|un) ?(?:checked|measured|counted|verified)|re-?count|count again|to be (?:counted|checked|measured)"
    r"|(?:un)?sure|uncertain|doubtful|perhaps|maybe|estimated?|approx\w*"
    r"|per (?:\d+|pack|pair|set|box|dozen)|(?:packs?|box(?:es)?|bags?|sets?) of \d+|pairs?|dozen|each"
    r"|min(?:imum|\.)? \d+|excl\.?|incl\.?|plus vat|net of|discount|surcharge|price (?:on|from|until|valid)"
    r"|discontinued|obsolete|superseded|replaced by|no longer|not (?:available|usable|ok|for sale)|unavailable"
    r"|not (?:yet )?(?:arrived|received|delivered|in stock|in yet|here)|awaiting|waiting for|in transit"
    r"|on (?:its|the) way|still to come|noch nicht|unterwegs|pas encore"
    r"|back.?order\w*|while stocks? lasts?|out of stock|sold(?: out)?|until \d.*|from \d.*"
    r"|on hold|reserved|allocated|promised|lent|on loan|borrowed|gone|missing|lost|used up|returned?"
    r"|scrap(?:ped)?|quarantined?|damaged|faulty|defective|bent|torn|broken|cracked|dented|kinked|rejected?|second.?hand"
    r"|actual(?:ly)?|really|in fact|should be|measures?d?(?: at)? \d\S*|gemessen|mesuré"
    r"|wrong\w*|mislabel\w*|mixed(?: up)?|do not (?:use|fit|sell))\b",
    re.IGNORECASE,
)
# What stands beside a movement that is no use of a part.
COMES = re.compile(
    r"in|.*\b(?:goods in|received?|receipts?|incoming|deliver(?:y|ed)|purchased?|bought|credit|returned?|returns?"
    r"|corrections?|adjust(?:ed|ments?)|stocktakes?|inventory|count(?:ed)?|transfer(?:red|s)?|opening balance"
    r"|scrap(?:ped)?)\b.*",
    re.IGNORECASE,
)


def ask_about_remarks(reader: Reader, column: MatchedColumn, cells: Sequence[Cell]) -> None:
    """Ask about each row whose remark could change a fact of it; it is left out until that is answered."""
    of_usage = reader.table.layout.role is Role.USAGE
    for position, cell in enumerate(cells):
        if not isinstance(cell, str) or not (
            SPEAKS.search(cell)
            or speaks_of_a_fact(cell, reader.table.layout)
            or (of_usage and COMES.fullmatch(cell.strip()))
        ):
            continue
        text = " ".join(cell.split())
        place = reader.table.sheet.place(reader.table.rows[position], column.index)
        expected = "to know whether this remark changes a fact of its row"
        question = Question(place, text, expected, (USED, LEAVE_ROW_OUT), plain_key(f"remark {text}"))
        if reader.table.inquiry.ask(question) != USED:
            reader.refused.add(position)
