"""The shop's own tolerance of gaskets whose list states none, said once for all engines.

It stands in ``shop.toml`` beside the ledger or the books, and is written by hand::

    [gasket]
    tolerance = "0.025 mm"
"""

from __future__ import annotations

from collections.abc import Iterable
from pathlib import Path

from msgspec.structs import replace

from stackopt.books.engine_text import values
from stackopt.books.engine_text.engine_file import read_toml
from stackopt.books.engine_text.section import FileSection, Findings
from stackopt.engine.records import Cylinder, Engine
from stackopt.problems import InputError, Place

# The same file may say who orders; other readers take that.
OF_WHO_ORDERS = "shop"


def with_shop_tolerance(engines: Iterable[Engine], file: Path) -> tuple[Engine, ...]:
    """Return the engines with the shop's tolerance where their own text states none.

    Raises
    ------
    InputError
        When the file cannot be read.
    """
    tolerance_mm = read_shop_tolerance(file)
    return tuple(
        replace(engine, cylinders=tuple(_with(cylinder, tolerance_mm) for cylinder in engine.cylinders))
        for engine in engines
    )


def read_shop_tolerance(file: Path) -> float:
    """Read the tolerance, a half-width in mm.

    Raises
    ------
    InputError
        When the file cannot be read, or says anything else.
    """
    findings = Findings()
    content = read_toml(file, "the shop's defaults")
    stated = {name: value for name, value in content.items() if name != OF_WHO_ORDERS}
    if not stated and content:
        return 0.0
    top = FileSection(stated, Place(str(file)), findings)
    expected = 'a tolerance of gaskets with its unit, as tolerance = "0.025 mm"'
    table = top.table("gasket")
    if table is None and not findings.problems:
        top.blame("gasket", "a table that opens with the line [gasket], with the tolerance below it", "Add it.")
    tolerance_mm = table and table.need("tolerance", values.length("thickness tolerance"), expected)
    findings.blame_unknown_keys()
    if findings.problems:
        raise InputError(*findings.problems)
    return tolerance_mm or 0.0


def _with(cylinder: Cylinder, tolerance_mm: float) -> Cylinder:
    if cylinder.spread.gasket_mm:
        return cylinder
    return replace(cylinder, spread=replace(cylinder.spread, gasket_mm=tolerance_mm))
