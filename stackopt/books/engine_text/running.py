"""The [running] table of an engine file: speed, what pulls at the rod, and the quench band."""

from __future__ import annotations

from stackopt.books.engine_text import values
from stackopt.books.engine_text.section import FileSection
from stackopt.engine.effects.moduli import MODULUS_GPA
from stackopt.engine.engine_records import Cylinder
from stackopt.engine.geometry import circle_area_mm2
from stackopt.engine.moving import AtSpeed, Rod
from stackopt.problems import Problem

ROD_KEYS = ("piston_mass", "rod_section", "rod_material")


def read_running(section: FileSection, rod_length_mm: float | None) -> AtSpeed | None:
    """Read the table; what its figures need and lack is noted."""
    table = section.table("running")
    if table is None:
        return None
    speed_rpm = table.need("speed", values.speed, 'the speed of the crankshaft, as speed = "6500 rpm"')
    if rod_length_mm is None:
        expected = "a rod_length too, without which the piston's speed is not known"
        mend = 'Add a line at the top of the file, as rod_length = "152 mm".'
        section.findings.problems.append(Problem(section.at("running"), "", expected, mend))
    rod, band_mm2 = _rod(table), table.take("band_area", values.area("band area"))
    least_mm = table.take("least_quench", values.length("quench"))
    if speed_rpm is None or rod_length_mm is None:
        return None
    return AtSpeed(speed_rpm, rod_length_mm, rod, band_mm2, least_mm)


def blame_running(section: FileSection, cylinder: Cylinder) -> None:
    """Note what the [running] table says and the cylinder cannot have."""
    running = cylinder.running
    if running is None:
        return
    if running.band_mm2 is not None and running.band_mm2 >= circle_area_mm2(cylinder.bore_mm):
        expected = f"a band_area in [running] smaller than the bore, {circle_area_mm2(cylinder.bore_mm):.0f} mm²"
        section.blame("running", expected, "Measure the band alone, without the chamber's mouth.")
    if running.rod_length_mm <= cylinder.stroke_mm / 2:
        section.blame(
            "rod_length", f"a rod_length beyond half the stroke, {cylinder.stroke_mm / 2:g} mm", "Check both."
        )


def _rod(table: FileSection) -> Rod | None:
    """Read what stretches the rod: all of it, or nothing where only the band is asked about."""
    stated = [key for key in ROD_KEYS if table.has(key)]
    if not stated and table.has("band_area") and not table.has("least_quench"):
        return None
    mass_kg = table.need("piston_mass", values.mass, 'what the rod pulls: piston, pin and rings, as "480 g"')
    section_mm2 = table.need("rod_section", values.area("rod section"), 'the section of its beam, as "180 mm²"')
    known = ", ".join(MODULUS_GPA)
    material = table.need("rod_material", values.one_of(MODULUS_GPA), f"what the rod is made of, one of {known}")
    if mass_kg is None or section_mm2 is None or material is None:
        return None
    return Rod(mass_kg, section_mm2, MODULUS_GPA[material])
