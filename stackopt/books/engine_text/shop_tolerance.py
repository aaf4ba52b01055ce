"""The shop's own tolerance of gaskets whose list states none, said once for all engines.

It stands in ``shop.toml`` beside the ledger or the books, and is written by hand; who orders may stand there too, under
``[shop]``::

    [gasket]
    tolerance = "0.025 mm"
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from pathlib import Path

from msgspec.structs import replace

from stackopt.books.engine_text import values
from stackopt.books.engine_text.section import FileSection, Findings
from stackopt.books.engine_text.toml_text import read_toml
from stackopt.engine.engine_records import Cylinder, Engine
from stackopt.problems import InputError, Place

FILE_NAME, WHO_ORDERS = "shop.toml", "shop"


def shop_tolerance_mm(books: Sequence[Path], ledger: str = "") -> float:
    """Return the tolerance that the shop states, a half-width in mm; 0 where it states none.

    The first book's folder that holds the file counts; without books, that of the ledger.

    Raises
    ------
    InputError
        When the file cannot be read, or says anything else.
    """
    folders = [book.parent for book in books] or [Path() if "://" in ledger else Path(ledger).parent]
    for folder in dict.fromkeys(folders):
        if (folder / FILE_NAME).is_file():
            return read_shop_tolerance(folder / FILE_NAME)
    return 0.0


def with_tolerance(engines: Iterable[Engine], tolerance_mm: float) -> tuple[Engine, ...]:
    """Return the engines with the shop's tolerance where their own text states none."""
    if not tolerance_mm:
        return tuple(engines)
    return tuple(
        replace(engine, cylinders=tuple(_with(cylinder, tolerance_mm) for cylinder in engine.cylinders))
        for engine in engines
    )


def read_shop_tolerance(file: Path) -> float:
    """Read the tolerance, a half-width in mm; 0 where the file says nothing of gaskets.

    Raises
    ------
    InputError
        When the file cannot be read, or says what is not known.
    """
    findings = Findings()
    stated = read_toml(file, "the shop's defaults")
    # Who orders is read where orders are written.
    top = FileSection({key: stated[key] for key in stated if key != WHO_ORDERS}, Place(str(file)), findings)
    expected = 'a tolerance of gaskets with its unit, as tolerance = "0.025 mm"'
    table = top.table("gasket")
    if table is None and WHO_ORDERS not in stated and not findings.problems:
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
