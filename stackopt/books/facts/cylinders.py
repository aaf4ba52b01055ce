"""The columns of an engines sheet that belong to one cylinder: its measures and its windows."""

from __future__ import annotations

from collections.abc import Sequence

from msgspec import Struct

from stackopt.books.facts.stated import stated, text_of
from stackopt.books.tables.columns import Reader
from stackopt.books.tables.table import Table
from stackopt.books.words import amounts, cells, sided
from stackopt.books.words.describing.families import EVERY_CYLINDER
from stackopt.engine.engine_records import STREET_QUENCH_MM, Cylinder, Window, is_upside_down
from stackopt.engine.stated import Ends
from stackopt.problems import UnreadableError

Numbers = Sequence[float | None]


class WindowColumns(Struct, frozen=True):
    """The ends and the aim of one window, by row."""

    low: Numbers
    high: Numbers
    aim: Numbers

    def stated(self, at: int) -> bool:
        """Tell whether a row states an end."""
        return self.low[at] is not None or self.high[at] is not None

    def window(self, at: int) -> Window | None:
        """Return the window of a row; None where no end is stated."""
        return Window(self.low[at], self.high[at], self.aim[at]) if self.stated(at) else None

    def ends(self, at: int) -> Ends | None:
        """Return what a row states of the window; None where it states no end."""
        return (self.low[at], self.aim[at], self.high[at]) if self.stated(at) else None


class CylinderColumns(Struct, frozen=True):
    """Everything that the rows of an engines sheet say about single cylinders; lengths in mm, volumes in cm³."""

    table: Table
    name: Sequence[str | None]
    bore_mm: Numbers
    stroke_mm: Numbers
    deck_mm: Numbers
    chamber_cc: Numbers
    piston_cc: Numbers
    crevice_cc: Numbers
    recess_mm: Numbers
    quench: WindowColumns
    quench_band: Sequence[bool | None]
    compression: WindowColumns

    def has_band(self, at: int) -> bool:
        """Tell whether the chamber has a quench band; it does unless the sheet says no."""
        return self.quench_band[at] is not False

    def cylinder(self, at: int) -> Cylinder:
        """Return the cylinder of a row without faults."""
        return Cylinder(
            self.name[at] or "",
            self.bore_mm[at] or 0.0,
            self.stroke_mm[at] or 0.0,
            self.deck_mm[at] or 0.0,
            chamber_volume_cc=self.chamber_cc[at],
            piston_volume_cc=self.piston_cc[at] or 0.0,
            crevice_volume_cc=self.crevice_cc[at] or 0.0,
            band_recess_mm=self.recess_mm[at] or 0.0,
            quench=(self.quench.window(at) or STREET_QUENCH_MM) if self.has_band(at) else None,
            compression=self.compression.window(at),
            stated=stated(self.table, at, self.quench.ends(at), self.compression.ends(at)),
        )


def read_cylinder_columns(reader: Reader, mark: str) -> CylinderColumns:
    """Read and check what the sheet says about cylinders."""
    unit = reader.table.units

    def length(column: str, measure: str) -> Numbers:
        return reader.column(column, amounts.length(measure, unit.get(column, ""), mark))

    def volume(column: str) -> Numbers:
        return reader.column(column, amounts.volume(column, unit.get(column, ""), mark))

    def ratio(column: str) -> Numbers:
        return reader.column(column, amounts.ratio(mark))

    columns = CylinderColumns(
        table=reader.table,
        name=reader.column("cylinder", cells.text),
        bore_mm=length("bore", "bore"),
        stroke_mm=length("stroke", "stroke"),
        deck_mm=_deck(reader, mark),
        chamber_cc=volume("chamber volume"),
        piston_cc=_pistons(reader, mark),
        crevice_cc=volume("crevice volume"),
        recess_mm=reader.column("band recess", sided.band_recess(unit.get("band recess", ""), mark)),
        quench=WindowColumns(*(length(f"quench {end}", "quench") for end in ("min", "max", "aim"))),
        quench_band=reader.column("quench band", cells.yes_or_no),
        compression=WindowColumns(*(ratio(f"compression {end}") for end in ("min", "max", "aim"))),
    )
    reader.need("cylinder", columns.name, "the name of a cylinder, as front or left")
    for position, named in enumerate(columns.name):
        if (named or "").casefold() in EVERY_CYLINDER:
            expected = "one cylinder, as each has measures of its own"
            reader.blame(position, "cylinder", named or "", expected, "Give each cylinder a row.")
    reader.need("bore", columns.bore_mm, "the bore with its unit")
    reader.need("stroke", columns.stroke_mm, "the stroke with its unit")
    reader.need("deck", columns.deck_mm, "the deck height with unit and side")
    for position in range(len(reader.table.rows)):
        if position not in reader.refused:
            _blame_windows(reader, columns, position)
            _blame_piston(reader, columns, position)
    return columns


def _pistons(reader: Reader, mark: str) -> Numbers:
    """Join the two columns that may state a crown: a volume whose sign or word says which, and one of dishes."""
    unit = reader.table.units
    crowns_cc = reader.column("piston volume", sided.crown_volume(unit.get("piston volume", ""), mark))
    dishes_cc = reader.column("dish volume", sided.dish_volume(unit.get("dish volume", ""), mark))
    for position, (crown_cc, dish_cc) in enumerate(zip(crowns_cc, dishes_cc, strict=True)):
        if crown_cc and dish_cc:
            expected = "a piston volume or a dish volume, not both"
            reader.blame(position, "dish volume", f"{dish_cc:g} cc", expected, "Write their sum in one of the two.")
    return [crown if crown or dish is None else -dish for crown, dish in zip(crowns_cc, dishes_cc, strict=True)]


def _blame_piston(reader: Reader, columns: CylinderColumns, at: int) -> None:
    """Refuse a piston whose crown is larger than the chamber."""
    chamber_cc, piston_cc = columns.chamber_cc[at], columns.piston_cc[at]
    if chamber_cc is not None and piston_cc is not None and abs(piston_cc) > chamber_cc:
        expected = f"a piston volume smaller than the chamber, {chamber_cc:g} cc"
        mend = "Check both numbers and their units. Where the chamber is a bowl in the piston, write an engine file."
        reader.blame(at, "piston volume", f"{piston_cc:g} cc", expected, mend)


def _deck(reader: Reader, mark: str) -> Numbers:
    """Join each deck reading with its side."""
    readings = reader.column("deck", sided.deck(reader.table.units.get("deck", ""), mark))
    sides = reader.column("deck side", sided.side)
    heights: list[float | None] = []
    for position, (reading, side) in enumerate(zip(readings, sides, strict=True)):
        heights.append(None)
        if reading is None or position in reader.refused:
            continue
        cell = reader.table.cells["deck"][position]
        try:
            heights[-1] = sided.deck_height_mm(cell, reading, side or "")
        except UnreadableError as fault:
            reader.fault(position, "deck", fault)
    return heights


def _blame_windows(reader: Reader, columns: CylinderColumns, at: int) -> None:
    """Note a window that contradicts itself or cannot be asked."""
    band = columns.has_band(at)
    for end, values in (("quench min", columns.quench.low), ("quench max", columns.quench.high)):
        if columns.quench.stated(at) and values[at] is None:
            reader.blame(at, end, "", "both ends of the quench window", "Fill the cell in.")
    _blame_window(reader, "quench", columns.quench, at)
    _blame_window(reader, "compression", columns.compression, at)
    if not band and columns.quench.stated(at):
        reader.blame(
            at, "quench band", "no", "no quench window where there is no quench band", "Take one of the two out."
        )
    if not band and not columns.compression.stated(at):
        reader.blame(at, "quench band", "no", "a compression window where there is no quench band", "Fill it in.")
    if columns.compression.stated(at) and columns.chamber_cc[at] is None:
        mend = "Measure the chamber with a burette, or leave the compression window out."
        reader.blame(at, "chamber volume", "", "the chamber volume, as compression is asked for", mend)


def _blame_window(reader: Reader, name: str, columns: WindowColumns, at: int) -> None:
    low, high, aim = columns.low[at], columns.high[at], columns.aim[at]
    low_text, high_text, aim_text = (text_of(reader.table, f"{name} {end}", at) for end in ("min", "max", "aim"))
    if aim is not None and not columns.stated(at):
        expected = f"an end of the {name} window beside its aim"
        reader.blame(at, f"{name} aim", aim_text, expected, "Fill min or max in.")
    elif is_upside_down(low, high):
        expected = f"a lower end that does not lie above the upper, {high_text}"
        reader.blame(at, f"{name} min", low_text, expected)
    elif aim is not None and Window(low, high).miss(aim):
        expected = f"an aim inside the {name} window"
        reader.blame(at, f"{name} aim", aim_text, expected, "Move the aim or the ends.")
