"""The words of headers: roles, what columns measure and in which units, abbreviations, fillers.

A header is compared after `headers.plain_words`: lower case, abbreviations spelled out, unit, currency and filler
words taken off. The columns themselves are in `roles`.
"""

from __future__ import annotations

from collections.abc import Mapping
from enum import StrEnum
from functools import cached_property

from msgspec import Struct

from stackopt.books.words.currencies import CURRENCIES
from stackopt.books.words.tongues.headers import HEADERS_ABROAD
from stackopt.units import AREA_UNITS, LENGTH_UNITS, VOLUME_UNITS


class Role(StrEnum):
    """What a sheet holds, read from its headers."""

    ENGINES = "engines"
    KITS = "kits"
    USAGE = "usage"
    SERVICES = "services"
    STOCK = "stock"
    OFFERS = "offers"
    SUPPLIERS = "suppliers"


class Measure(StrEnum):
    """What kind of unit the values of a column carry."""

    LENGTH = "length"
    VOLUME = "volume"
    OPENING = "opening"
    TIME = "time"
    MONEY = "money"
    NONE = ""


class Column(Struct, frozen=True):
    """A column of a role: its canonical name, other spellings in plain form, and what its values measure."""

    name: str
    spellings: tuple[str, ...] = ()
    measure: Measure = Measure.NONE


class RoleColumns(Struct, frozen=True, dict=True):
    """The columns of one role.

    `marks` are the columns that tell the role, `required` those without which no row means anything, each a set of
    which one suffices; `key` and `weight` are two columns that every row fills; `rivals` are roles that a sheet may
    seem to have as well. `grouping` are columns that a heading above rows may fill.
    """

    columns: Mapping[str, Column]
    key: str
    weight: tuple[str, ...]
    marks: tuple[frozenset[str], ...]
    required: tuple[tuple[str, ...], ...]
    grouping: tuple[str, ...] = ()
    rivals: frozenset[Role] = frozenset()

    @cached_property
    def spellings(self) -> Mapping[str, str]:
        """The column that each name and each other spelling means."""
        abroad = {word: name for name in self.columns for word in HEADERS_ABROAD.get(name, ())}
        spelled = {spelling: column.name for column in self.columns.values() for spelling in column.spellings}
        names = {name: name for name in self.columns}
        return abroad | spelled | names

    @property
    def telling(self) -> list[str]:
        """The columns that tell the role, in words."""
        return [" or ".join(sorted(names)) for names in self.marks]


def by_name(*columns: Column) -> dict[str, Column]:
    """Return columns by their names."""
    return {column.name: column for column in columns}


def either(spellings: str) -> tuple[str, ...]:
    """Return spellings that stand in one text, commas between them."""
    return tuple(spellings.split(", "))


DAYS_PER_UNIT: Mapping[str, int] = {
    **dict.fromkeys(
        ("d", "day", "days", "calendar days", "tag", "tage", "tagen", "jour", "jours", "giorno", "giorni"), 1
    ),
    **dict.fromkeys(("día", "días", "dia", "dias", "dag", "dagen", "dage", "dager", "dagar", "dni", "dny", "dní"), 1),
    **dict.fromkeys(("w", "wk", "wks", "week", "weeks", "woche", "wochen", "semaine", "semaines", "settimana"), 7),
    **dict.fromkeys(("settimane", "semana", "semanas", "weken", "uge", "uger", "uke", "uker", "vecka", "veckor"), 7),
    **dict.fromkeys(("tydzień", "tygodnie", "tygodni", "týden", "týdny", "týdnů"), 7),
}
# Calendar days, on the mean, of a unit of time that is not always so many: of a month, of a day of a five-day week.
DAYS_TO_BE_ASKED: Mapping[str, float] = {
    **dict.fromkeys(("month", "months", "mth", "mths", "mo", "mos", "monat", "monate", "mois"), 365.25 / 12),
    **dict.fromkeys(("quarter", "quarters"), 365.25 / 4),
    **dict.fromkeys(("year", "years", "yr", "yrs"), 365.25),
    **dict.fromkeys(
        (
            "working days",
            "working day",
            "work days",
            "workdays",
            "business days",
            "business day",
            "bd",
            "wd",
            "werktage",
            "arbeitstage",
            "at",
        ),
        7 / 5,
    ),
}
UNITS: Mapping[Measure, frozenset[str]] = {
    Measure.LENGTH: frozenset(LENGTH_UNITS),
    Measure.VOLUME: frozenset(VOLUME_UNITS),
    Measure.OPENING: frozenset(LENGTH_UNITS) | frozenset(AREA_UNITS),
    Measure.TIME: frozenset(DAYS_PER_UNIT) | frozenset(DAYS_TO_BE_ASKED),
    Measure.MONEY: frozenset(CURRENCIES),
    Measure.NONE: frozenset(),
}

ABBREVIATIONS: Mapping[str, str] = {
    **dict.fromkeys(("thk", "thck", "thick", "thkness", "thicknesses"), "thickness"),
    **dict.fromkeys(("qty", "qnty", "quan", "qtty", "quantities"), "quantity"),
    **dict.fromkeys(("no", "nr", "num", "nbr", "#", "№", "numbers", "nos"), "number"),
    **dict.fromkeys(("pn", "p/n", "partno", "partnumber", "part-no"), "part number"),
    **dict.fromkeys(("qoh", "onhand"), "quantity on hand"),
    **dict.fromkeys(("min", "minimal"), "minimum"),
    **dict.fromkeys(("max", "maximal"), "maximum"),
    **dict.fromkeys(("compr", "cr"), "compression"),
    **dict.fromkeys(("vol", "volumes"), "volume"),
    **dict.fromkeys(("dia", "diam", "ø", "⌀"), "diameter"),
    **dict.fromkeys(("spcl", "spec"), "special"),
    **dict.fromkeys(("desc", "descr"), "description"),
    **dict.fromkeys(("mat", "matl", "mat'l"), "material"),
    **dict.fromkeys(("tol", "±", "+/-"), "tolerance"),
    **dict.fromkeys(("cyl", "cylinders"), "cylinder"),
    **dict.fromkeys(("compressed", "crushed", "torqued", "fitted"), "installed"),
    **dict.fromkeys(("uncompressed", "uncrushed"), "free"),
    **dict.fromkeys(("vendor", "vendors", "supp"), "supplier"),
    **dict.fromkeys(("squish",), "quench"),
    **dict.fromkeys(("carriage", "shipping", "postage"), "freight"),
    **dict.fromkeys(("packs", "pkg", "pkgs", "pkt"), "pack"),
    **dict.fromkeys(("pcs", "pc", "pieces"), "piece"),
    **dict.fromkeys(("ea",), "each"),
    **dict.fromkeys(("families",), "family"),
    **dict.fromkeys(("disc", "discont"), "discontinued"),
    **dict.fromkeys(("moq",), "minimum order quantity"),
    **dict.fromkeys(("mov",), "minimum order value"),
    **dict.fromkeys(("catalogue", "cat"), "catalog"),
    **dict.fromkeys(("pos",), "position"),
    **dict.fromkeys(("excl", "ex", "exc", "exclusive", "exkl", "zzgl", "ohne"), "excluding"),
    **dict.fromkeys(("incl", "inc", "inclusive", "inkl"), "including"),
    **dict.fromkeys(("tax", "mwst", "ust", "tva", "gst", "iva", "btw", "moms", "mva", "dph", "alv"), "vat"),
    **dict.fromkeys(("&",), "and"),
}
FILLERS = frozenset({"the", "of", "a", "our", "in", "to", "is", "/", "-", ":", ","})
