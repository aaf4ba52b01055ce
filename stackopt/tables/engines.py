"""Engines in and out: one engine from a file, a text or a mapping, and engines as rows, one a cylinder."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from os import PathLike
from pathlib import Path
from typing import Any

from stackopt.books.engine_text.engine_file import read_engine_file, read_engine_table
from stackopt.books.engine_text.toml_text import parse_toml
from stackopt.engine.engine_records import Cylinder, Engine, Window
from stackopt.problems import InputError, Place, Problem
from stackopt.tables.call import shown
from stackopt.tables.quantities import plain


def read_engine(engine: str | Path | Mapping[str, Any], in_place_mm: float = 0.0) -> Engine:
    """Read one engine.

    Parameters
    ----------
    engine
        The path of an engine file, its text, or the same keys and tables as a mapping. In a mapping every length,
        volume, area and angle is a text with its unit (``"0.11 mm proud"``), or a pint quantity where no side has to
        be said.
    in_place_mm
        The tolerance of a base gasket over which a deck was read, where the engine states none.

    Raises
    ------
    InputError
        When the file cannot be read, and for all faults of its keys and values together.
    """
    if isinstance(engine, Mapping):
        return read_engine_table(plain(engine), "engine", in_place_mm)
    if isinstance(engine, str) and "\n" in engine:
        return read_engine_table(parse_toml(engine, "engine", "an engine"), "engine", in_place_mm)
    if not isinstance(engine, str | PathLike):
        expected = "an engine file's path or text, a mapping of its keys, or an engine's name in the books"
        raise InputError(Problem(Place(item="engine"), shown(engine), expected))
    return read_engine_file(Path(engine), in_place_mm)


def engine_rows(engines: Sequence[Engine]) -> Iterator[dict[str, Any]]:
    """Yield a row for each cylinder, as the table `engines` of `frames.TABLES` has it."""
    for engine in engines:
        for cylinder in engine.cylinders:
            yield {
                "engine": engine.name,
                "family": engine.family,
                "due": engine.due and engine.due.isoformat(),
                "priority": engine.priority,
                "rod_length_mm": engine.rod_length_mm,
                **_measures(cylinder),
            }


def _measures(cylinder: Cylinder) -> dict[str, Any]:
    proud = cylinder.deck_height_mm < 0
    return {
        "cylinder": cylinder.name,
        "bore_mm": cylinder.bore_mm,
        "stroke_mm": cylinder.stroke_mm,
        "deck_mm": abs(cylinder.deck_height_mm),
        "deck_side": "proud" if proud else "below",
        "chamber_volume_cc": cylinder.chamber_volume_cc,
        "piston_volume_cc": cylinder.piston_volume_cc,
        **_window("quench", cylinder.quench, "_mm"),
        **_window("compression", cylinder.compression, ""),
    }


def _window(name: str, window: Window | None, unit: str) -> dict[str, float | None]:
    if window is None:
        return {}
    ends = {"min": window.low, "aim": window.aim, "max": window.high}
    return {
        f"{name}_{end}{unit}": value for end, value in ends.items() if value is not None and abs(value) != float("inf")
    }
