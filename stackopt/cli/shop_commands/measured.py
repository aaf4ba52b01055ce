"""Pieces measured when they came: read from the command line, doubted where they are far off, and said again."""

from __future__ import annotations

import statistics
from collections.abc import Iterable, Iterator, Mapping, Sequence
from shlex import quote
from typing import Any

import click

from stackopt.cli.agreeing import check_agreed
from stackopt.cli.shop_commands.lengths import Length
from stackopt.parts.learned import far_from_listed
from stackopt.report.wording import counted
from stackopt.shop.ledger import Ledger

Readings = Mapping[str, Sequence[float]]


class PieceMeasured(click.ParamType[tuple[str, float]]):
    """The thickness of one piece of a part, written as BG-040=0.413 mm."""

    name = "PART=LENGTH"

    def convert(self, value: Any, param: click.Parameter | None, ctx: click.Context | None) -> tuple[str, float]:
        """Return part number and millimetres; a text that is neither is a wrong call."""
        number, _, length = value.rpartition("=")
        if not number:
            self.fail(f"found {value!r}, expected a part and the thickness of a piece, as BG-040=0.413 mm.", param, ctx)
        return number, Length().convert(length, param, ctx)


def by_part(measured: Iterable[tuple[str, float]]) -> dict[str, list[float]]:
    """Return the readings of each part."""
    readings_mm: dict[str, list[float]] = {}
    for number, length_mm in measured:
        readings_mm.setdefault(number, []).append(length_mm)
    return readings_mm


def check_likely(opened: Ledger, readings_mm: Readings, *, yes: bool) -> None:
    """Ask where a piece is much thicker or thinner than its part is listed."""
    parts = opened.supply(as_listed=True).parts if readings_mm and not yes else {}
    for number, read in readings_mm.items():
        part = parts.get(number)
        if part is None:
            continue
        far = far_from_listed(part, read)
        if far:
            check_agreed(
                f"{number}: {far[0]:.3f} mm measured, {part.thickness_mm:.3f} mm listed as installed. Is it another "
                "part, a gasket not yet crushed, or a slip of the gauge? Go by it all the same?"
            )


def measured_words(opened: Ledger, readings_mm: Readings, held: Iterable[tuple[str, str]]) -> Iterator[str]:
    """Yield what was measured, what fit goes by now, and who was chosen for before that was known."""
    lots = opened.lots_on_shelf(readings_mm) if readings_mm else {}
    for number, read in readings_mm.items():
        mean = f"{statistics.fmean(read):.3f} mm over {counted(len(read), 'piece')}"
        unmeasured = sum(lot.pieces for lot in lots.get(number, ()) if not lot.readings_mm)
        mixed = f"; up to {counted(unmeasured, 'piece')} that nobody measured may lie among them" if unmeasured else ""
        yield f"{number}: {mean}{mixed}."
    engines = sorted({engine for engine, number in held if number in readings_mm})
    for engine in engines:
        yield f"{engine} was chosen for before that was known; what it makes of it: stackopt fit {quote(engine)}"
