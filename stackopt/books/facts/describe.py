"""What a row says about its part: kind, fit, thickness, opening; and whether two descriptions of one part agree."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from typing import NamedTuple

from msgspec import Struct

from stackopt.books.asked.descriptions import ask_about_descriptions
from stackopt.books.asked.far.thicknesses import asked_where_far_out
from stackopt.books.files.sheets import Cell, WithUnit, written
from stackopt.books.tables.columns import ReadColumn, Reader
from stackopt.books.tables.table import Table
from stackopt.books.words import amounts, cells, counts
from stackopt.books.words.describing import families, kinds
from stackopt.books.words.headers import says_share
from stackopt.books.words.materials import Installed, installed_thickness
from stackopt.engine.engine_records import EDGE_TOLERANCE
from stackopt.parts.part_records import ANY_FAMILY, Kind, Part
from stackopt.problems import UnreadableError

# Half of the last digit that lists are written to: 0.01 mm and 0.0005 in for thickness, 0.1 mm for an opening.
THICKNESS_AGREES_MM = 0.0064
OPENING_AGREES_MM = 0.064
KINDS_WITH_THICKNESS = frozenset({Kind.BASE_GASKET, Kind.HEAD_GASKET, Kind.BASE_SHIM})
FREE_TEXTS = frozenset({"material", "description"})
NEVER_COMPARED = FREE_TEXTS | {"estimated"}
MEASURED_THICKNESS = frozenset({"thickness_mm", "tolerance_mm"})


class Facts(NamedTuple):
    """What is said about one part; None where nothing is said. Lengths in mm, volumes in cm³.

    `opening` is (diameter mm, None) or (None, area mm²); `estimated`: worked out from the free thickness.
    """

    kind: Kind | None = None
    families: frozenset[str] | None = None
    thickness_mm: float | None = None
    tolerance_mm: float | None = None
    opening: tuple[float | None, float | None] | None = None
    covers: int | None = None
    position: str | None = None
    crown_volume_cc: float | None = None
    compression_height_mm: float | None = None
    material: str | None = None
    description: str | None = None
    estimated: bool | None = None


SAYS_NOTHING = Facts()
COLUMN_OF = {
    "kind": "kind",
    "families": "fits",
    "thickness_mm": "thickness",
    "tolerance_mm": "thickness tolerance",
    "opening": "opening",
    "covers": "covers",
    "position": "position",
    "crown_volume_cc": "crown volume",
    "compression_height_mm": "compression height",
    "material": "material",
    "description": "description",
}
SAYING_COLUMNS = (*(column for field, column in COLUMN_OF.items() if field not in FREE_TEXTS), "free thickness")


class FactColumns(Struct, frozen=True):
    """What the rows of a sheet say about their parts, by field of `Facts`; a field that no column says is left out.

    `estimates` holds, by row, the installed thickness worked out from a free one where no other is said.
    """

    columns: dict[str, ReadColumn[object]]
    estimates: dict[int, Installed]

    def at_each(self, positions: Iterable[int]) -> Iterator[Facts]:
        """Yield what each of these rows says."""
        positions = list(positions)
        silent = [None] * len(positions)
        said = [self.columns[name].at_each(positions) if name in self.columns else silent for name in Facts._fields]
        facts = map(Facts._make, zip(*said, strict=True))
        return map(self._estimated, positions, facts) if self.estimates else facts

    def _estimated(self, position: int, facts: Facts) -> Facts:
        """Return what a row says, with the thickness worked out where it says but the free one."""
        estimate = self.estimates.get(position)
        if estimate is None:
            return facts
        half_width = estimate.half_width_mm + (facts.tolerance_mm or 0.0)
        return facts._replace(thickness_mm=estimate.thickness_mm, tolerance_mm=half_width, estimated=True)


def read_facts(reader: Reader) -> FactColumns:
    """Read what each row says about its part."""
    unit, mark = reader.table.units, reader.table.mark
    parsers: dict[str, Callable[[Cell], object]] = {
        "kind": kinds.kind,
        "families": families.families,
        "thickness_mm": asked_where_far_out(reader, "thickness", amounts.thickness(unit.get("thickness", ""), mark)),
        "tolerance_mm": amounts.tolerance(unit.get("thickness tolerance", ""), mark),
        "opening": amounts.opening(unit.get("opening", ""), mark),
        "covers": counts.cylinders(mark),
        "position": families.position,
        "crown_volume_cc": amounts.volume("piston volume", unit.get("crown volume", ""), mark),
        "compression_height_mm": amounts.length("compression height", unit.get("compression height", ""), mark),
        "material": cells.text,
        "description": cells.text,
    }
    columns: dict[str, ReadColumn[object]] = {}
    for name, parse in parsers.items():
        if name == "tolerance_mm" and reader.has("thickness tolerance"):
            _work_out_shares(reader, columns.get("thickness_mm"))
        if reader.has(COLUMN_OF[name]):
            columns[name] = reader.column(COLUMN_OF[name], parse)
    _ask_wide(reader, columns)
    ask_about_descriptions(reader, columns.get("kind", ()), columns.get("thickness_mm", ()))
    return FactColumns(columns, _estimates(reader, columns))


def _ask_wide(reader: Reader, columns: Mapping[str, Sequence[object]]) -> None:
    """Ask about tolerances as wide as the thickness that they are of."""
    thickness, tolerance = columns.get("thickness_mm"), columns.get("tolerance_mm")
    if thickness is None or tolerance is None:
        return
    for position, (thick, wide) in enumerate(zip(thickness, tolerance, strict=True)):
        if isinstance(thick, float) and isinstance(wide, float) and wide >= thick and position not in reader.refused:
            expected = f"a tolerance smaller than the thickness, {thick:g} mm"
            reader.blame(position, "thickness tolerance", f"{wide:g} mm", expected, "Check its unit.")


def _work_out_shares(reader: Reader, thickness: Sequence[object] | None) -> None:
    """Put lengths in place of tolerances in per cent, of the thickness that their row says."""
    tolerance = "thickness tolerance"
    cells = reader.joined.get(tolerance, reader.table.cells[tolerance])
    matched = reader.table.layout.columns.get(tolerance)
    of_all = matched is not None and says_share(matched.title)
    if thickness is None or not (of_all or any("%" in written(cell) for cell in reader.table.distinct[tolerance])):
        return
    shares = [amounts.share(cell, reader.table.mark, bare=of_all) for cell in cells]
    reader.joined[tolerance] = [
        WithUnit(round(share * thick, 6), "mm") if share is not None and isinstance(thick, float) else cell
        for cell, share, thick in zip(cells, shares, thickness, strict=True)
    ]
    reader.table.account.said.append("tolerances in per cent are taken of their row's thickness")


def _estimates(reader: Reader, columns: Mapping[str, Sequence[object]]) -> dict[int, Installed]:
    """Work installed thicknesses out where only the free one is given."""
    if not reader.has("free thickness"):
        return {}
    unit, mark = reader.table.units.get("free thickness", ""), reader.table.mark
    nothing: list[object] = [None] * len(reader.table.rows)
    read = asked_where_far_out(reader, "free thickness", amounts.length("gasket thickness", unit, mark))
    free = reader.column("free thickness", read)
    known, material = columns.get("thickness_mm", nothing), columns.get("material", nothing)
    found = {}
    for position, free_mm in enumerate(free):
        if free_mm is None or position in reader.refused:
            continue
        installed_mm = known[position]
        if isinstance(installed_mm, float):
            _blame_swollen(reader, position, free_mm, installed_mm)
            continue
        try:
            found[position] = installed_thickness(free_mm, str(material[position] or ""))
        except UnreadableError as fault:
            reader.fault(position, "material" if reader.has("material") else "free thickness", fault)
    return found


def _blame_swollen(reader: Reader, position: int, free_mm: float, installed_mm: float) -> None:
    """Refuse a gasket that is thicker when it is crushed than before."""
    if installed_mm > free_mm + THICKNESS_AGREES_MM:
        expected = f"an installed thickness no larger than the free one, {free_mm:g} mm"
        reader.blame(position, "thickness", f"{installed_mm:g} mm", expected, "Check which column is which.")


def different_rows(table: Table) -> list[int]:
    """Return one row of each set of rows that say the same of the same part, in the sheet's order."""
    columns = [table.cells[name] for name in ("part number", *SAYING_COLUMNS) if name in table.cells]
    keys = columns[0] if len(columns) == 1 else list(zip(*columns, strict=True))
    # Read backwards, so that the first row of each set stays.
    rows = range(len(table.rows) - 1, -1, -1)
    return sorted(dict(zip(reversed(keys), rows, strict=True)).values())


def disagreement(first: Facts, second: Facts) -> str:
    """Return the first field on which two descriptions of one part differ; empty where they agree.

    An estimated thickness does not stand against one that was stated.
    """
    one_estimated = bool(first.estimated) != bool(second.estimated)
    for name, one, other in zip(Facts._fields, first, second, strict=True):
        if other is None or one is None or one == other or name in NEVER_COMPARED:
            continue
        if not (one_estimated and name in MEASURED_THICKNESS) and not _near(name, one, other):
            return name
    return ""


def _near(name: str, one: object, other: object) -> bool:
    if isinstance(one, float) and isinstance(other, float):
        return abs(one - other) <= (THICKNESS_AGREES_MM if name == "thickness_mm" else EDGE_TOLERANCE)
    if isinstance(one, tuple) and isinstance(other, tuple):
        (diameter, _), (other_diameter, _) = one, other
        return None not in (diameter, other_diameter) and abs(diameter - other_diameter) <= OPENING_AGREES_MM
    return isinstance(one, str) and isinstance(other, str) and one.casefold() == other.casefold()


def combined(first: Facts, second: Facts) -> Facts:
    """Return the first description, with what only the second says filled in; a stated thickness before an estimate."""
    filled = Facts._make([other if one is None else one for one, other in zip(first, second, strict=True)])
    if not first.estimated or second.thickness_mm is None or second.estimated:
        return filled
    return filled._replace(thickness_mm=second.thickness_mm, tolerance_mm=second.tolerance_mm, estimated=None)


def shown(name: str, facts: Facts) -> str:
    """Write one field of a description as a person would read it."""
    value = getattr(facts, name)
    if isinstance(value, frozenset):
        return ";".join(sorted(value))
    if isinstance(value, tuple):
        diameter, area = value
        return f"{diameter:g} mm" if diameter is not None else f"{area:g} mm²"
    if isinstance(value, float):
        return f"{round(value, 4):g} {'cc' if name.endswith('_cc') else 'mm'}"
    return str(value)


def part(number: str, kind: Kind, facts: Facts) -> Part:
    """Return the part that a description is about."""
    diameter, area = facts.opening or (None, None)
    return Part(
        number,
        kind,
        facts.families or frozenset({ANY_FAMILY}),
        thickness_mm=(facts.thickness_mm or 0.0) if kind in KINDS_WITH_THICKNESS else 0.0,
        tolerance_mm=facts.tolerance_mm or 0.0,
        estimated=bool(facts.estimated),
        opening_mm=diameter,
        opening_mm2=area,
        covers=facts.covers or 1,
        position=facts.position or "",
        crown_volume_cc=facts.crown_volume_cc,
        compression_height_mm=facts.compression_height_mm,
        material=facts.material or "",
        description=facts.description or "",
    )
