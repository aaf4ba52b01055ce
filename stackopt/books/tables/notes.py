"""Notes beside a table that speak of its facts: what a price is for, a share on it, lead times, how pieces are counted.

Each is asked about where the table has a column that it may change; units are read by `said_units`.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Sequence
from datetime import date, datetime, timedelta
from pathlib import Path

from msgspec import Struct

from stackopt.books.files.sheets import Sheet
from stackopt.books.layout.layouts import Layout
from stackopt.books.tables.above import column_above
from stackopt.books.tables.headings import ABOVE_ALL, LEAVE_OUT, RowHeading, asked_of_all
from stackopt.books.words.inquiry import Inquiry
from stackopt.books.words.vocabulary import Role
from stackopt.problems import Place, Question, plain_key

UNCHANGED = "it changes nothing"
PRICES, COUNTS = ("price", "price each"), ("on hand", "quantity")
# Pieces that may not be fitted or sold, or lists that do not hold: of a whole list where it is called so.
NOT_IN_USE = (
    r"scrap(?:ped|s)?\b|\bon loan|\blent\b|\bborrowed|\breturn(?:ed|s)\b|\bto be returned|\bquarantined?\b|\bdo not\b"
    r"|\bnot (?:for|to be|in use|usable|valid)\b|\breserved for|\bobsolete|\bdiscontinued|\bwithdrawn|\bsuperseded"
    r"|\bsecond[- ]hand|\bdamaged|\bfaulty|\bdefective|\brejected|\bconsignment|\bwritten off|\bout of date|\boutdated"
    r"|\bcancelled|\bdraft\b|\bsold\b(?! (?:in|by|per|as|only|to)\b)|\barchived?\b|\bold (?:stock|prices?|list|parts)\b"
    r"|\bcustomer(?:'s|s'|-owned)"
    r"|\breplaced by|\bmissing\b|\blost\b|\bon hold\b|\bausschuss\b|\bgesperrt|\brebut\b"
)
_OLD = re.compile(r"\W*old\W*", re.IGNORECASE)
# A list of pieces that are not there: wanted, ordered, gone, or an example.
_NOT_ON_THE_SHELF = re.compile(
    r"\bto (?:be )?(?:order(?:ed)?|buy|bought)\b|\bon order\b|\bordered\b(?! by (?:phone|e-?mail|mail|fax|post)\b)"
    r"|\bwanted\b|\bback[- ]?orders?\b"
    r"|\b(?:wish|shopping|want)[- ]?list\b|\bsold\b|\b(?:template|example|sample)s?\b|\bused (?:up|this|last)\b"
    r"|\bused in (?:\d{4}|\w+uary|\w+ber|march|april|may|june|july|august)\b",
    re.IGNORECASE,
)
# What a label above a table may say other than the column of the same meaning does.
LABELS_THAT_COUNT = frozenset(
    {"pack", "minimum packs", "lead days", "discount", "price per", "covers", "status", "special order", "discontinued"}
)
_SPAN = (
    "(?:calendar |working |business )?"
    "(?:days?|weeks?|wks?|months?|mths?|tagen?|wochen?|werktagen?|monaten?|jours?|semaines?|mois)"
)
_FREIGHT = "freight|carriage|postage|shipping|delivery|porto|fracht|versand|lieferung|livraison|franco"
_DELIVERED = (
    r"\b(?:deliver\w*|lead[- ]?times?|dispatch\w*|ship(?:s|ped|ping)?|lieferzeit|délais?)\b.*"
    r"\b(?:days?|weeks?|months?|tagen?|wochen?|jours?|semaines?)\b"
)
_SUM = r"(?:[€£$]\s*)?\d[\d.,]*\d(?:\s?(?:[€£$]|[A-Za-z]{3}\b))?|\d"
_UNTIL = re.compile(
    r"\b(?:valid|good|hold|holds|prices?|gültig|expir\w+)\b.*?\b(?:until|till?|to|through|on|bis|before)\b\D{0,3}(?P<end>\d.*)",
    re.I,
)
_FROM = re.compile(r"\b(?:valid|prices?|gültig|effective)\b.*?\b(?:from|as of|ab|since)\b\D{0,3}(?P<start>\d.*)", re.I)
# A list that is called after a year or a month: Price list 2019, Prices as of March 2019, Preisliste Stand 03/2019.
_OF_A_LIST = re.compile(
    r"\b(?:price|prices|pricelist|list|catalog(?:ue)?|preis\w*|tarifs?|listino|lista|prijs\w*|prisliste?|prislista|cennik"
    r"|ceník)\b",
    re.IGNORECASE,
)
_YEAR = re.compile(
    r"(?<![\d.,/-])(?:(?P<month>\d{1,2})[./-])?(?P<year>(?:19|20)\d\d)(?![\d.,]*\d)(?:/(?P<next>\d\d)\b)?"
)
LONGEST_AGE = timedelta(days=365)
_WRITTEN_DAY = re.compile(
    r"\d{4}-\d\d-\d\d|\d{1,2}\.\d{1,2}\.\d{4}|\d{1,2}\.? [^\W\d]{3,9},? \d{4}|(?P<year>(?:19|20)\d\d)\b(?![-./])"
)
_DAY_PATTERNS = ("%Y-%m-%d", "%d.%m.%Y", "%d %B %Y", "%d %b %Y", "%d. %B %Y", "%d. %b %Y")


class Topic(Struct, frozen=True):
    """What notes may speak of, and the columns one of which a table must have for it to matter.

    `answers` are patterns whose first group, or what is found where they have none, is the value of the column named.
    """

    speaks: re.Pattern[str]
    columns: tuple[str, ...]
    silent: re.Pattern[str] | None = None
    answers: tuple[tuple[str, re.Pattern[str]], ...] = ()
    needs: str = ""


def _words(pattern: str) -> re.Pattern[str]:
    return re.compile(pattern, re.IGNORECASE)


TOPICS = (
    Topic(
        _words(
            r"\b(?:(?:per|je|pro|par)\s+\d+|for\s+\d{2,}|(?:per|je|pro|par|for)\s+(?:hundred|thousand|dozen|pairs?|sets?))\b"
            r"|/\s?10{1,3}\b|\bpairs?\b|\bdozens?\b"
            r"|\d\s*(?:from|ab|for|at)\s+\d+\b|\bpacks? (?:of|à) \d+|\bin (?:packs|pairs|sets|boxes|cartons)\b"
        ),
        PRICES,
        answers=(
            ("price per", _words(r"\b(?:per|je|pro|par|for)\s+(\d+)")),
            ("pack", _words(r"\bpacks? (?:of|à) (\d+)")),
        ),
    ),
    Topic(
        _words(r"\b(?:per (?:piece|pc|unit)|each)\b"),
        PRICES,
        answers=(
            (
                "price per",
                _words(r"piece|each"),
            ),
        ),
        needs="pack",
    ),
    Topic(
        _words(
            r"\d\s*(?:%|per ?cent\b|v\.?h\b)|\bextra (?:days?|weeks?|charges?|costs?)\b"
            r"|\b(?:discount|rebate|surcharge|rabatt|zuschlag|aufschlag|remise|levy|deposit)s?\b"
            r"|[x×*]\s?\d+[.,]\d|\b(?:less|plus|add|minus|multiply|multiplied)\b\D{0,6}\d"
        ),
        PRICES,
        silent=_words(r"\D*\bon request\b\D*"),
        answers=(
            ("discount", _words(r"(?:less|minus|discount|rebate|rabatt|remise|-)\D*?(\d+(?:[.,]\d+)?\s*%)")),
            ("surcharge", _words(r"(?:plus|\+|add|surcharge|zuschlag|levy)\D*?(\d+(?:[.,]\d+)?\s*%)")),
        ),
    ),
    Topic(
        _words(r"\b(?:incl\w*\.?|inkl\w*\.?|with|including|ttc)\b.*\b(?:vat|tax|mwst|ust|tva|gst|iva|btw)\b|\bttc\b"),
        PRICES,
    ),
    Topic(
        _words(
            r"\b(?:retail|rrp|uvp|msrp|brutto\w*|gross prices?|budget|provisional|indicative|guide prices?|estimated"
            r"|(?:daily|market|day) prices?|tagespreis\w*|richtpreis\w*|multiples? of|while stocks? lasts?"
            r"|until stocks? lasts?|solange\b.*\bvorrat)\b"
        ),
        PRICES,
    ),
    Topic(_words(r"\b(?:in|are|all)\s+(?:pence|cents?|ct\.?|thousands|hundreds)\b|\bprices?\b.*\bpence\b"), PRICES),
    Topic(
        _words(
            rf"\b(?:{_FREIGHT}|delivery charge|handling|minimum (?:order|invoice)|small[- ]orders?"
            r"|mindestbestell\w*)\b.*\d"
        ),
        PRICES,
        silent=_words(rf".*\b(?:tel|phone|fax)\b.*|.*\d\s*(?:{_SPAN})\b.*"),
        answers=(
            ("free freight over", _words(rf"\bfree\b.*?\b(?:over|above|from|ab|if)\b\D*?({_SUM})")),
            ("freight", _words(rf"(?<!free )\b(?:{_FREIGHT})\b\D{{0,20}}?({_SUM})")),
            ("minimum order sum", _words(rf"\b(?:minimum|least|mindestbestell\w*)\b\D{{0,25}}?({_SUM})")),
        ),
    ),
    Topic(
        _words(rf"\d+\s*(?:(?:-|–|to|bis|or)\s*\d+\s*)?{_SPAN}\b|\b(?:ex|from) stock\b|{_DELIVERED}"),
        ("lead days", *PRICES),
        silent=_words(
            r"\D*\b(?:in|en) (?:days|tagen|jours)\b\D*"
            r"|.*\b(?:pay\w*|net|due|warrant\w*|guarant\w*|return\w*|invoice|zahl\w*|netto|skonto|paiement)\b.*"
        ),
        answers=(("lead days", _words(rf"\d+\s*{_SPAN}\b")),),
    ),
    Topic(
        _words(
            r"\b(?:packs? of \d+|(?:in|are|as|per) (?:packs?|pairs?|sets?|boxes|dozens?|hundreds|thousands))\b"
            r"|\b(?:not (?:yet )?(?:counted|checked|verified|complete)|uncounted|unchecked|provisional"
            r"|preliminary|estimate[sd]?|approximate\w*|guess\w*|provisoire|provisorisch|vorläufig\w*|incomplete)\b"
            r"|\bcounts? (?:of|in) (?:packs?|pairs?|sets?|boxes|bags)\b"
            r"|\b(?:minus|without|excluding|not (?:including|counting)|(?:does|do) not include|ohne|sans)\b"
        ),
        COUNTS,
    ),
    Topic(
        _words(
            r"\bnominal\b|\bpre-?crush"
            r"|\b(?:thick\w*|sizes?|gauges?)\b.*\bas (?:marked|printed|sold|labelled|supplied)\b"
            r"|\bas (?:marked|printed|labelled) on\b"
        ),
        ("thickness",),
    ),
    Topic(
        _words(
            r"\b(?:over|with|incl\w*)\b[^;]*\bgaskets?\b|\bgaskets?\b[^;]*\bin place\b|\bspacers?\b|\bestimate"
            r"|\bbores?\b.*\b(?:before|after)\b|\bprovisional|\bapprox|\bnominal\b|\bguess|[+-]\s?="
            r"|\bnot (?:yet )?(?:measured|checked)|\bfrom the (?:book|manual|drawing)|\b(?:proud|below)\b"
        ),
        ("deck",),
    ),
)


def facts_of_notes(sheet: Sheet, layout: Layout, notes: Iterable[str], inquiry: Inquiry) -> list[RowHeading] | None:
    """Ask about the notes that may change a fact of a table; return what the user says of all its rows.

    None where the user leaves them all out. A note that says less than its whole row is not asked about twice.
    """
    said: list[RowHeading] = []
    for note, place, answers in _doubts(sheet, layout, list(dict.fromkeys(notes)), inquiry):
        expected = "to know whether this note changes a fact of the rows"
        question = Question(place, note, expected, answers, plain_key(f"note {note}"))
        answer = asked_of_all(inquiry, question, layout.role)
        if answer == LEAVE_OUT:
            return None
        if isinstance(answer, tuple):
            said.append(RowHeading(ABOVE_ALL, *answer))
    return said


def _doubts(
    sheet: Sheet, layout: Layout, notes: Sequence[str], inquiry: Inquiry
) -> Iterator[tuple[str, Place, tuple[str, ...]]]:
    """Yield each note that may change a fact, the place that it speaks of, and the likely answers."""
    told: list[str] = []
    for note in notes:
        if any(note in longer for longer in told) or inquiry.knows(plain_key(f"heading {note}")):
            continue
        topics = [topic for topic in TOPICS if _concerns(topic, note, layout)]
        labelled = layout.columns.get(column_above(note.partition(":")[0], layout)[0]) if ":" in note else None
        if labelled is not None and labelled.name in LABELS_THAT_COUNT:
            yield note, sheet.column_place(labelled.index), (UNCHANGED, LEAVE_OUT)
        elif _is_out(note, layout.role) or (layout.role is Role.OFFERS and _does_not_hold(note)):
            yield note, sheet.whole_place, (LEAVE_OUT, UNCHANGED)
        elif topics:
            column = next(layout.columns[name] for name in topics[0].columns if name in layout.columns)
            answers = tuple(dict.fromkeys(answer for topic in topics for answer in _likely(topic, note, layout)))
            yield note, sheet.column_place(column.index), (*answers, UNCHANGED, LEAVE_OUT)
        else:
            continue
        told.append(note)
    names = [sheet.name, *([Path(sheet.file).stem] if layout.role is Role.OFFERS else [])]
    for name in names:
        is_old = layout.role is Role.OFFERS and _is_of_long_ago(name)
        if name not in told and (is_old or (name == sheet.name and _is_out_by_name(name, layout.role))):
            yield name, sheet.whole_place, (LEAVE_OUT, UNCHANGED)
            told.append(name)


def speaks_of_a_fact(text: str, layout: Layout) -> bool:
    """Tell whether a text beside one row may change a fact of it."""
    return any(_concerns(topic, text, layout) for topic in TOPICS)


def _is_out_by_name(name: str, role: Role) -> bool:
    """Tell whether the name of a sheet says that its rows may not be used."""
    return _is_out(name.replace("_", " "), role) or _OLD.fullmatch(name) is not None


def _is_out(text: str, role: Role) -> bool:
    """Tell whether a text says that what a list names may not be used, or does not lie on the shelf."""
    if role not in (Role.STOCK, Role.OFFERS):
        return False
    is_elsewhere = role is Role.STOCK and _NOT_ON_THE_SHELF.search(text) is not None
    return is_elsewhere or re.search(NOT_IN_USE, text, re.IGNORECASE) is not None


def _concerns(topic: Topic, note: str, layout: Layout) -> bool:
    if layout.columns.keys().isdisjoint(set(topic.columns) - {"lead days"}) or (
        topic.needs and topic.needs not in layout.columns
    ):
        return False
    return topic.speaks.search(note) is not None and not (topic.silent and topic.silent.fullmatch(note))


def _likely(topic: Topic, note: str, layout: Layout) -> Iterator[str]:
    for column, pattern in topic.answers:
        found = pattern.search(note)
        if found and column not in layout.columns:
            yield f"{column} {found[1] if pattern.groups else found[0]}"


def _does_not_hold(note: str) -> bool:
    """Tell whether a note says that prices held until a day that is past, or hold only from a day to come."""
    until, since = _UNTIL.search(note), _FROM.search(note)
    end, start = _day(until["end"] if until else ""), _day(since["start"] if since else "")
    if (end is not None and end < date.today()) or (start is not None and start > date.today()):
        return True
    return end is None and _is_of_long_ago(note)


def _is_of_long_ago(note: str) -> bool:
    """Tell whether the last year that the title of a list names ended more than a year ago."""
    if not _OF_A_LIST.search(note.replace("_", " ")):
        return False
    years = [int(f"{one['year'][:2]}{one['next']}" if one["next"] else one["year"]) for one in _YEAR.finditer(note)]
    return bool(years) and date(max(years), 12, 31) < date.today() - LONGEST_AGE


def _day(text: str) -> date | None:
    """Return the day that a text begins with, the last one of a bare year; None where it says none in full."""
    found = _WRITTEN_DAY.match(text)
    if found is None:
        return None
    if found["year"]:
        return date(int(found["year"]), 12, 31)
    written = " ".join(found[0].replace(",", " ").split())
    for pattern in _DAY_PATTERNS:
        try:
            return datetime.strptime(written, pattern).date()
        except ValueError:
            continue
    return None
