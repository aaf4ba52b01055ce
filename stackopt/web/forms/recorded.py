"""The form of an engine that is on record, or of one that is to be like it."""

from __future__ import annotations

from stackopt.engine.engine_records import Cylinder, Engine, Window
from stackopt.units import MM_PER_INCH
from stackopt.web.forms.further import further_form, further_shared


def form_of(engine: Engine, *, inch: bool) -> dict[str, str]:
    """Return the form that describes an engine as it is recorded: what came of its readings stands as its deck."""
    first = engine.cylinders[0]
    form = {"engine": engine.name, "due": engine.due.isoformat() if engine.due else "", **like(engine, inch=inch)}
    form |= further_form(engine, inch=inch)
    for number, cylinder in enumerate(engine.cylinders, start=1):
        deck = cylinder.deck_height_mm
        form[f"cylinder[{number}].deck"] = _written(abs(deck), inch=inch)
        form[f"cylinder[{number}].deck.unit"] = "in" if inch else "mm"
        form[f"cylinder[{number}].deck.side"] = "proud" if deck < 0 else "below"
    return form | ({"no_quench_band": "yes"} if first.quench is None else {})


def like(engine: Engine, *, inch: bool) -> dict[str, str]:
    """Return what a new engine takes from an earlier one: measures that its family shares, windows; no readings."""
    first = engine.cylinders[0]
    form = {"cylinders": str(len(engine.cylinders)), **further_shared(engine, inch=inch)}
    form |= {"family": engine.family, "unit": "in" if inch else "mm", "stroke": _written(first.stroke_mm, inch=inch)}
    form |= _window("quench", first.quench, inch=inch, decimals=4) | _window(
        "compression", first.compression, decimals=2
    )
    if engine.rod_length_mm is not None:
        form["rod_length"] = _written(engine.rod_length_mm, inch=inch)
    if first.quench is None:
        form["no_quench_band"] = "yes"
    for number, cylinder in enumerate(engine.cylinders, start=1):
        form |= {f"cylinder[{number}].{key}": text for key, text in _shared(cylinder, inch=inch).items()}
    return form


def _shared(cylinder: Cylinder, *, inch: bool) -> dict[str, str]:
    crown = cylinder.piston_volume_cc
    return {
        "name": cylinder.name,
        "bore": _written(cylinder.bore_mm, inch=inch),
        "chamber_volume": "" if cylinder.chamber_volume_cc is None else f"{cylinder.chamber_volume_cc:g}",
        "piston_volume": f"{abs(crown):g}" if crown else "",
        "piston_volume.way": "dish" if crown < 0 else "dome",
    }


def _window(name: str, window: Window | None, *, decimals: int, inch: bool = False) -> dict[str, str]:
    if window is None:
        return {}
    ends = {"min": window.low, "aim": window.aim, "max": window.high}
    scale = MM_PER_INCH if inch else 1.0
    written = {end: f"{value / scale:.{decimals}f}" for end, value in ends.items() if value is not None}
    return {f"{name}.{end}": text.rstrip("0").rstrip(".") for end, text in written.items()}


def _written(length_mm: float, *, inch: bool) -> str:
    return f"{length_mm / MM_PER_INCH:.4f}" if inch else f"{round(length_mm, 4):g}"
