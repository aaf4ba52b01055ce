"""What a row says about its part: kind, fit, thickness, opening; and whether two descriptions of one part agree."""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

from stackopt.books import cells
from stackopt.books.columns import Reader
from stackopt.engine.records import EDGE_TOLERANCE
from stackopt.parts.records import ANY_FAMILY, Kind, Part

# Half of the last digit that lists are written to: 0.01 mm and 0.0005 in for thickness, 0.1 mm for an opening.
THICKNESS_AGREES_MM = 0.0064
OPENING_AGREES_MM = 0.064
KINDS_WITH_THICKNESS = frozenset({Kind.BASE_GASKET, Kind.HEAD_GASKET, Kind.BASE_SHIM})


class Facts(NamedTuple):
    """What is said about one part; None where nothing is said. Lengths in mm, volumes in cm³.

    `opening` is (diameter mm, None) or (None, area mm²).
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


# Column by field of Facts, in the order of its fields.
COLUMN_OF = dict(
    zip(
        Facts._fields,
        (
            "kind",
            "fits",
            "thickness",
            "thickness tolerance",
            "opening",
            "covers",
            "position",
            "crown volume",
            "compression height",
            "material",
            "description",
        ),
        strict=True,
    )
)
NOTHING_SAID = Facts()
FREE_TEXT = frozenset({"material", "description"})


def read_facts(reader: Reader, mark: str) -> list[tuple[object, ...]]:
    """Read what each row says about its part: the fields of `Facts`, as plain tuples; none where no column says any."""
    if not any(reader.has(name) for name in COLUMN_OF.values()):
        return []
    unit = reader.table.units
    columns: tuple[Sequence[object], ...] = (
        reader.column("kind", cells.kind),
        reader.column("fits", cells.families),
        reader.column("thickness", cells.length("gasket thickness", unit.get("thickness", ""), mark)),
        reader.column("thickness tolerance", cells.tolerance(unit.get("thickness tolerance", ""), mark)),
        reader.column("opening", cells.opening(unit.get("opening", ""), mark)),
        reader.column("covers", cells.count(1, mark)),
        reader.column("position", cells.text),
        reader.column("crown volume", cells.volume("piston volume", unit.get("crown volume", ""), mark)),
        reader.column(
            "compression height", cells.length("compression height", unit.get("compression height", ""), mark)
        ),
        reader.column("material", cells.text),
        reader.column("description", cells.text),
    )
    return list(zip(*columns, strict=True))


def disagreement(first: Facts, second: Facts) -> str:
    """Return the first field on which two descriptions of one part differ; empty where they agree."""
    for name in Facts._fields:
        if name in FREE_TEXT:
            continue
        one, other = getattr(first, name), getattr(second, name)
        if one is not None and other is not None and one != other and not _near(name, one, other):
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
    """Return the first description, with what only the second says filled in."""
    return Facts._make(other if one is None else one for one, other in zip(first, second, strict=True))


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
        opening_mm=diameter,
        opening_mm2=area,
        covers=facts.covers or 1,
        position=facts.position or "",
        crown_volume_cc=facts.crown_volume_cc,
        compression_height_mm=facts.compression_height_mm,
        material=facts.material or "",
        description=facts.description or "",
    )
