"""Single cells as people write them, each with what a person would read there; written without this project's readers.

A reading is a number, `NOTHING` for an empty cell, or `ASKED` where a careful person would ask. Made by the thousand:
the numbers are drawn, the ways of writing them stand below (common practice, no source).
"""

from __future__ import annotations

import random
from collections.abc import Callable, Iterator
from fractions import Fraction
from typing import NamedTuple

ASKED, NOTHING = "asked", "nothing"
Reading = float | str
Way = Callable[[random.Random], tuple[object, Reading]]
INCH_MM = Fraction("25.4")


class WrittenCell(NamedTuple):
    """What stands in a cell, and what a person reads there."""

    cell: object
    reads: Reading


def _count(dice: random.Random) -> int:
    return dice.choice([0, 1, 2, 3, 4, 7, 10, 12, 24, 40, 120])


def _as_text(pattern: str) -> Way:
    def way(dice: random.Random) -> tuple[object, Reading]:
        number = _count(dice)
        return pattern.format(n=number), float(number)

    return way


def _bare_count(dice: random.Random) -> tuple[object, Reading]:
    number = _count(dice)
    return number, float(number)


def _count_as_stored(dice: random.Random) -> tuple[object, Reading]:
    number = float(_count(dice))
    return number, number


def _dozens(dice: random.Random) -> tuple[object, Reading]:
    number = dice.choice([1, 2, 3, 5])
    return f"{number} doz", 12.0 * number


def _thousands(dice: random.Random) -> tuple[object, Reading]:
    """Where a point parts decimals a comma parts thousands; of 10,000 alone it may still be that 10 was meant."""
    number = dice.randrange(1000, 30000)
    return f"{number:,}", float(number) if number % 1000 else ASKED


def _doubtful(pattern: str) -> Way:
    def way(dice: random.Random) -> tuple[object, Reading]:
        one, other = dice.sample([2, 3, 4, 5, 7, 9, 12, 15], 2)
        return pattern.format(n=one, m=other), ASKED

    return way


# Among others that tell that a point parts decimals.
COUNTS: tuple[Way, ...] = (
    _bare_count,
    _count_as_stored,
    _dozens,
    # One alone among so many small counts would be asked about.
    *(4 * (_thousands,)),
    *map(_as_text, ("{n}", " {n} ", "{n} pcs", "{n}pcs", "{n} pcs.", "{n} pieces", "{n}.0", "{n}\u00a0", "{n} St.")),
    *map(_doubtful, ("{n}/{m}", "{n}+{m}", "{n} + {m}", "{n} or {m}", "{n}-{m}", "{n}?", "~{n}", "ca. {n}", "'{n}")),
    *map(_doubtful, ("{n} boxes", "{n}e1", "{n} (of {m})", "{n} + 1 used", "{n} pairs", "{n} sets", "> {n}", "few")),
    *map(_doubtful, ("{n}.5", "-{n}", "{n}-", "({n})", "some", "{n}x{m}", "min {n}", "{n} left?", "{n} packs", "½")),
    *map(_doubtful, ("{n} in", "{n} mm", "{n} EUR", "{n} %", "{n}k", "{n},{m}", "#N/A", "tbd", "{n} | {m}")),
    lambda _: ("", NOTHING),
    lambda _: (None, NOTHING),
)


def _hundredth(dice: random.Random) -> Fraction:
    return Fraction(dice.randrange(20, 150), 100)


def _length(pattern: str, unit_mm: Fraction = Fraction(1), places: int = 2) -> Way:
    def way(dice: random.Random) -> tuple[object, Reading]:
        in_unit = round(float(_hundredth(dice) / unit_mm), places)
        return pattern.format(n=f"{in_unit:.{places}f}"), float(Fraction(str(in_unit)) * unit_mm)

    return way


def _sixty_fourths(dice: random.Random) -> tuple[object, Reading]:
    top = dice.choice([1, 3])
    return f'{top}/64"', float(Fraction(top, 64) * INCH_MM)


def _odd_length(pattern: str) -> Way:
    return lambda dice: (pattern.format(n=f"{float(_hundredth(dice)):.2f}", m=f"{float(_hundredth(dice)):.2f}"), ASKED)


def _bare_length(dice: random.Random) -> tuple[object, Reading]:
    number = float(_hundredth(dice))
    return number, number


# Under a header that says mm.
THICKNESSES: tuple[Way, ...] = (
    _bare_length,
    _length("{n}"),
    _length(" {n} "),
    _length("{n} mm"),
    _length("{n}mm"),
    _length("{n} in", INCH_MM, 3),
    _length('{n}"', INCH_MM, 3),
    _length("{n} inch", INCH_MM, 3),
    _length("{n} thou", INCH_MM / 1000, 0),
    _length("{n} mil", INCH_MM / 1000, 0),
    _length("{n} µm", Fraction(1, 1000), 0),
    _length("{n} um", Fraction(1, 1000), 0),
    _sixty_fourths,
    *map(
        _odd_length,
        (
            *("{n}?", "~{n}", "{n} or {m}", "{n}/{m}", "{n} - {m}", "{n} furlong", "ca {n}", "{n} free", "{n} (new)"),
            *(
                "-{n}",
                "{n} mm {m} mm",
                "{n}x",
                "{n} kg",
                "{n} EUR",
                "{n} mm?",
                "{n} mm / {m} mm",
                "approx. {n}",
                "thin",
            ),
            *(
                "{n}..{m}",
                "#VALUE!",
                "{n} uncompressed",
                "{n} {m}",
                "1{n}e2",
                "{n}%",
                "tbc",
                "{n} pcs",
                "<{n}",
                "see {n}",
            ),
        ),
    ),
)


def _cents(dice: random.Random) -> int:
    return dice.choice([95, 390, 410, 485, 1250, 2100, 4130, 12050])


def _money(pattern: str) -> Way:
    def way(dice: random.Random) -> tuple[object, Reading]:
        cents = _cents(dice)
        return pattern.format(n=f"{cents / 100:.2f}"), float(cents)

    return way


def _odd_money(pattern: str) -> Way:
    return lambda dice: (pattern.format(n=f"{_cents(dice) / 100:.2f}", m=dice.choice([2, 10, 100])), ASKED)


def _bare_money(dice: random.Random) -> tuple[object, Reading]:
    cents = _cents(dice)
    return cents / 100, float(cents)


# Of one piece, of which a pack has one, in a list whose other prices are in euros.
PRICES: tuple[Way, ...] = (
    _bare_money,
    *map(
        _money,
        ("{n}", " {n}", "€ {n}", "€{n}", "{n} €", "EUR {n}", "{n} EUR", "{n} each", "{n} per piece", "{n}\u00a0€"),
    ),
    *map(
        _odd_money,
        (
            *(
                "{n} doz",
                "{n}k",
                "{n} pcs",
                "{n} kg",
                "{n}p",
                "{n} or {m}",
                "~{n}",
                "{n}?",
                "from {n}",
                "{n} $",
                "GBP {n}",
            ),
            *("-{n}", "{n} -{m}%", "tba", "on request", "#REF!", "{n} mm", "{n}+{m}", "1/{m}", "{n} net of {m}"),
            *("{n} excl.", "{n} less {m}%", "{n} (old)", "{n}/{n}", "0", "0.00", "{n} CHF", "ask", "{n} per lot"),
        ),
    ),
)


def written_cells(ways: tuple[Way, ...], most: int, seed: int) -> Iterator[WrittenCell]:
    """Yield so many cells: every way in turn, with numbers of its own."""
    dice = random.Random(seed)
    for number in range(most):
        yield WrittenCell(*ways[number % len(ways)](dice))
