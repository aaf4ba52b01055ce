"""Engine files: one engine as a TOML text, written by hand at the bench; read into an `Engine`.

Every fault of a file is raised together, with its key. The keys, a cylinder's own tables before the top's:

top                 engine, family, stroke, rod_length, due, priority, quench_band
quench              min, max, aim, chance (the least chance of landing in it)
compression         min, max, aim
match               compression, quench: how far the cylinders may differ
base, gasket        shims; opening_margin, tolerance (of every gasket whose list states none)
levers              head_cut_max, deck_cut_max, spacer_max, pistons
intake              closes, at_lift, pin_offset, altitude; effective_compression: min, max
valve (several)     name, clearance, at_stack, angle, least, pocket, lift_per_degree
valve_train         drive (pushrod, lifter, overhead cam), at_stack, limit, sprocket_radius
hot                 least_quench; hot.part (several): what, length, material, rise
running             speed, piston_mass, rod_section, rod_material, band_area, least_quench
ports, shop         included_angle, at_stack, limit; of who orders, read elsewhere
cylinder (several)  name, bore, stroke, deck, chamber_volume, piston_volume, crevice_volume, band_recess,
                    chamber_opening, compression_height, fitted, quench_band, bowl_in_piston, burette_resolution,
                    deck_error_limit, chamber_error_limit, piston_error_limit
cylinder.reading    where, value, side, instrument, resolution, error_limit, largest_in, smallest_not,
                    base_gasket_in_place, base_gasket_tolerance, torqued, radius, dead_centre
cylinder.bore_reading   depth, along_pin, across_pin

A cylinder may have tables of its own: quench, compression, effective_compression, intake, valve, valve_train, hot,
running.
"""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from types import MappingProxyType

from msgspec import Struct, field
from msgspec.structs import replace

from stackopt.books.engine_text import values
from stackopt.books.engine_text.moving import Moving, blame_what_cannot_move, read_moving, read_ports
from stackopt.books.engine_text.readings import blame_piston, blame_radius, read_measures
from stackopt.books.engine_text.section import FileSection, Findings
from stackopt.books.engine_text.slips import (
    another_stroke,
    main_units,
    measures_written,
    read_over_gaskets,
    writing_cautions,
)
from stackopt.books.engine_text.steps import common_step_mm, step_cautions
from stackopt.books.engine_text.toml_text import read_toml
from stackopt.books.engine_text.windows import (
    NOT_STATED,
    StatedWindow,
    Windows,
    blame_idle_quench,
    cylinder_windows,
    engine_windows,
)
from stackopt.engine.cautions import Caution
from stackopt.engine.engine_records import Cylinder, Engine, Levers, Match
from stackopt.engine.readings.deck import stated_side
from stackopt.engine.stated import Ends, Stated
from stackopt.problems import InputError, Place

SHOWN = ("deck", "bore", "stroke", "chamber_volume", "piston_volume", "band_recess", "crevice_volume")
ONE_CYLINDER = "one [[cylinder]] table for each cylinder, with name, bore and deck"


def read_engine_file(path: Path, in_place_mm: float = 0.0) -> Engine:
    """Read an engine file; `in_place_mm` as in `read_engine_table`.

    Raises
    ------
    InputError
        When the file cannot be opened or is not TOML, and for all faults of its keys and values together.
    """
    return read_engine_table(read_toml(path, "an engine file"), str(path), in_place_mm)


def read_engine_table(table: Mapping[str, object], where: str, in_place_mm: float = 0.0) -> Engine:
    """Read one engine from the keys and tables of its text; `where` is how a message names it.

    `in_place_mm` is the tolerance of a base gasket over which a deck was read, where the text states none.

    Raises
    ------
    InputError
        For all faults of its keys and values together.
    """
    engine = _engine(FileSection(table, Place(where), findings := Findings()), in_place_mm)
    findings.blame_unknown_keys()
    if findings.problems:
        raise InputError(*findings.problems)
    return engine


def _engine(top: FileSection, in_place_mm: float) -> Engine:
    """Read the whole file; where problems were noted the engine has gaps that nobody sees."""
    name = top.need("engine", values.name, 'the name of the engine, as engine = "J-104"')
    family = top.need("family", values.name, 'the family code that parts name, as family = "A"')
    windows = engine_windows(top)
    gasket = _gasket(top.table("gasket"))
    engine = Engine(
        name or "",
        family or "",
        (),
        rod_length_mm=top.take("rod_length", values.length("rod length")),
        due=top.take("due", values.day),
        priority=top.take("priority", values.whole_number(1)) or 1,
        shims=_base_shims(top),
        opening_margin_mm=gasket.opening_margin_mm,
        least_quench_chance=windows.least_quench_chance,
        match=_match(top),
        ports=read_ports(top.table("ports")),
        levers=_levers(top.table("levers")),
    )
    stroke_mm = top.take("stroke", values.length("stroke"))
    moving = read_moving(top, engine.rod_length_mm, Moving())
    shared = _Shared(
        top.has("stroke"),
        top.entries.get("stroke"),
        stroke_mm,
        engine.rod_length_mm,
        windows,
        moving,
        gasket.tolerance_mm,
        in_place_mm,
        common_step_mm(top.entries),
    )
    cylinders, pinned = _cylinders(top, shared)
    blame_idle_quench(top, windows, len(cylinders))
    measures = measures_written(top.findings.sections)
    names = {f"cylinder[{number}].": cylinder.name for number, cylinder in enumerate(cylinders, start=1)}
    said_of_readings = (
        *read_over_gaskets(top.findings.sections, names),
        *step_cautions(shared.deck_step_mm),
    )
    cautions = (*writing_cautions(measures, names), *windows.cautions, *shared.remarks, *said_of_readings)
    return replace(engine, cylinders=cylinders, pinned=pinned, cautions=cautions, units=main_units(measures))


def _match(top: FileSection) -> Match:
    table = top.table("match")
    if table is None:
        return Match()
    return Match(
        quench_mm=table.take("quench", values.length("difference of quench")),
        compression=table.take("compression", values.ratio_difference),
    )


def _levers(table: FileSection | None) -> Levers:
    if table is None:
        return Levers()
    return Levers(
        head_cut_mm=table.take("head_cut_max", values.length("cut")) or 0.0,
        deck_cut_mm=table.take("deck_cut_max", values.length("cut")) or 0.0,
        spacer_mm=table.take("spacer_max", values.length("spacer")) or 0.0,
        pistons=table.take("pistons", values.yes_or_no) or False,
    )


def _base_shims(top: FileSection) -> int:
    table = top.table("base")
    return (table and table.take("shims", values.whole_number(0))) or 0


class _Gasket(Struct, frozen=True):
    """What is asked of head gaskets, and the tolerance of every gasket whose list states none, mm."""

    opening_margin_mm: float = 0.0
    tolerance_mm: float = 0.0


def _gasket(table: FileSection | None) -> _Gasket:
    if table is None:
        return _Gasket()
    return _Gasket(
        table.take("opening_margin", values.length("opening margin")) or 0.0,
        table.take("tolerance", values.length("thickness tolerance")) or 0.0,
    )


class _Shared(Struct, frozen=True):
    """What the top of the file says for every cylinder (a stated stroke may still be unreadable), and their remarks."""

    stroke_stated: bool
    stroke_written: object
    stroke_mm: float | None
    rod_length_mm: float | None
    windows: Windows
    moving: Moving
    gasket_mm: float = 0.0
    in_place_mm: float = 0.0
    deck_step_mm: float = 0.0
    remarks: list[Caution] = field(default_factory=list)


def _cylinders(top: FileSection, shared: _Shared) -> tuple[tuple[Cylinder, ...], Mapping[str, tuple[str, ...]]]:
    cylinders: list[Cylinder] = []
    pinned: dict[str, tuple[str, ...]] = {}
    names: set[str] = set()
    if not top.has("cylinder") or top.entries["cylinder"] == []:
        top.blame("cylinder", ONE_CYLINDER, "Add the lines.")
    for section in top.tables("cylinder"):
        cylinder, fitted = _cylinder(section, shared), section.take("fitted", values.names)
        name = str(section.entries.get("name")).strip().lower()
        if name in names and "name" in section.entries:
            section.blame("name", "a name that no other cylinder of this engine bears", "Rename one of them.")
        names.add(name)
        if cylinder is None:
            continue
        cylinders.append(cylinder)
        if fitted:
            pinned[cylinder.name] = fitted
    return tuple(cylinders), MappingProxyType(pinned)


def _cylinder(section: FileSection, shared: _Shared) -> Cylinder | None:
    name = section.need("name", values.name, 'the name of the cylinder, as name = "front"')
    stroke_mm = _stroke_mm(section, shared)
    measures = read_measures(section, shared.gasket_mm, shared.in_place_mm, shared.deck_step_mm)
    shared.remarks.extend(measures.remarks)
    quench, compression = cylinder_windows(section, shared.windows)
    crevice_cc = section.take("crevice_volume", values.volume("crevice volume"))
    recess_mm = section.take("band_recess", values.band_recess)
    opening_mm2 = section.take("chamber_opening", values.opening)
    height_mm = section.take("compression_height", values.length("compression height"))
    moving = read_moving(section, shared.rod_length_mm, shared.moving)
    bore_mm, deck_mm = measures.bore.value, measures.deck.value
    blame_piston(section, measures)
    blame_radius(section, measures)
    if name is None or bore_mm is None or stroke_mm is None or deck_mm is None:
        return None
    cylinder = Cylinder(
        name,
        bore_mm,
        stroke_mm,
        deck_mm,
        chamber_volume_cc=measures.chamber.value,
        piston_volume_cc=measures.piston.value or 0.0,
        crevice_volume_cc=crevice_cc or 0.0,
        band_recess_mm=recess_mm or 0.0,
        quench=None if quench is None else quench.window,
        compression=None if compression is None else compression.window,
        effective=moving.effective,
        spread=measures.spread,
        intake=moving.intake,
        valves=moving.valves,
        valve_train=moving.valve_train,
        hot=moving.hot,
        running=moving.running,
        chamber_opening_mm2=opening_mm2,
        compression_height_mm=height_mm,
        tilt_mm=measures.deck.tilt_mm,
        rock_mm=measures.deck.rock_mm,
        stated=_stated(section, shared, quench, compression),
    )
    blame_what_cannot_move(section, cylinder, moving.intake_stated)
    return cylinder


def _stated(
    section: FileSection, shared: _Shared, quench: StatedWindow | None, compression: StatedWindow | None
) -> Stated:
    """Keep what the file itself says of a cylinder."""
    entries = {"stroke": shared.stroke_written, **section.entries}
    written = {key.replace("_", " "): str(entries[key]) for key in SHOWN if isinstance(entries.get(key), str)}
    return Stated(
        stated_side(written.get("deck", "")),
        "piston_volume" in section.entries,
        _ends(quench),
        _ends(compression),
        MappingProxyType(written),
    )


def _ends(asked: StatedWindow | None) -> Ends | None:
    return None if asked is None or asked.ends == NOT_STATED else asked.ends


def _stroke_mm(section: FileSection, shared: _Shared) -> float | None:
    """Return the cylinder's own stroke, else the engine's; one of both must be stated."""
    own_mm = section.take("stroke", values.length("stroke"))
    if not section.has("stroke") and not shared.stroke_stated:
        section.blame("stroke", 'the stroke with its unit, as stroke = "78 mm"', "Add the line at the top of the file.")
    shared.remarks.extend(another_stroke(str(section.entries.get("name")), own_mm, shared.stroke_mm))
    return shared.stroke_mm if own_mm is None else own_mm
