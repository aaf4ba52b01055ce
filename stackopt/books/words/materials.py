"""Installed thickness from free thickness: the compressibility of gasket materials, from the table in `catalogs/`."""

from __future__ import annotations

import csv
import re
from functools import cache
from importlib.resources import as_file, files
from importlib.resources.abc import Traversable

from msgspec import Struct

from stackopt.problems import UnreadableError

TABLE = "materials.csv"
_LINE_CALL_OUT = re.compile(r"\bF(?:104[ :-]+F?)?\d{2}([1-8])\d{3}", re.IGNORECASE)


class Installed(Struct, frozen=True):
    """An installed thickness worked out from a free one: its middle and the half-width of its spread, mm."""

    thickness_mm: float
    half_width_mm: float


def installed_thickness(free_mm: float, material: str) -> Installed:
    """Return what remains of a free thickness once it is compressed as its material is.

    The spread covers the whole range of the material's class. Compressibility is (P - M)/P·100, P the thickness under
    preload and M under total load; it leaves creep and the real load of the joint out, so this is an estimate.

    Raises
    ------
    UnreadableError
        When the material is not in the table.

    References
    ----------
    ASTM F36 (the test), ASTM F104 (the classes); the table names the source of each line.
    """
    least, most = _compression(material)
    return Installed(free_mm * (1 - (least + most) / 200), free_mm * (most - least) / 200)


def _compression(material: str) -> tuple[float, float]:
    table = _table()
    call_out = _LINE_CALL_OUT.search(material)
    name = f"f104-{call_out[1]}" if call_out else " ".join(material.lower().split())
    if name in table:
        return table[name]
    known = ", ".join(sorted(name for name in table if not name.startswith(("astm", "f104"))))
    mend = f"Give the installed thickness, which is better anyway, or one of: {known}; or an ASTM F104 line call-out."
    raise UnreadableError(material, "a material whose compression is known, as only the free thickness is given", mend)


@cache
def _table() -> dict[str, tuple[float, float]]:
    """Return least and most compression, per cent, by every name of a material."""
    rows = csv.DictReader(_table_file().read_text(encoding="utf-8").splitlines())
    return {
        name.strip().lower(): (float(row["least compression (%)"]), float(row["most compression (%)"]))
        for row in rows
        for name in (row["material"], *row["other names"].split(";"))
    }


def _table_file() -> Traversable:
    """Return the table: inside an installed package, or beside the package in the source tree."""
    package = files("stackopt")
    installed = package / "catalogs" / TABLE
    if installed.is_file():
        return installed
    with as_file(package) as source:
        return source.parent / "catalogs" / TABLE
