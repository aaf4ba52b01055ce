"""The windows of an engine file: what is asked of quench and compression, for the engine and for single cylinders."""

from __future__ import annotations

from collections.abc import Callable

from msgspec import Struct, field

from stackopt.books.engine_text import values
from stackopt.books.engine_text.section import FileSection
from stackopt.engine.cautions import About, Caution
from stackopt.engine.engine_records import STREET_QUENCH_MM, Window, is_upside_down
from stackopt.engine.practice import quench_practice
from stackopt.engine.stated import Ends

# Common practice, no source: 0.050 to 0.060 in.
ALUMINIUM_RODS_MM = (1.3, 1.5)
STREET_QUENCH_USED = (
    "no quench window is stated: the street window of {} to {}, common practice without a source, stands in for it. "
    "It is for rods of steel: what are yours made of? With aluminium rods practice is about {} to {} (no source), and "
    "very high speed needs more."
)
NO_BAND = (
    "the chamber has no quench band, so the question of quench does not arise; compression alone is targeted. How near "
    "the piston comes to the head is not looked at: nothing is known here of contact."
)
NOT_STATED: Ends = (None, None, None)


class StatedWindow(Struct, frozen=True):
    """A window, and its ends and aim as far as they were stated."""

    window: Window
    ends: Ends


class Windows(Struct):
    """What the engine asks of every cylinder that says nothing of its own."""

    quench: StatedWindow | None = None
    compression: StatedWindow | None = None
    least_quench_chance: float | None = None
    quench_band: bool = True
    compression_stated: bool = False
    bandless: list[str] = field(default_factory=list)
    cautions: list[Caution] = field(default_factory=list)


def street_window_used(cylinder: str) -> Caution:
    """Say that common practice stands in for a window that was not stated."""
    ends_mm = (STREET_QUENCH_MM.low or 0.0, STREET_QUENCH_MM.high or 0.0)
    return Caution(About.WINDOW_NOT_STATED, cylinder, STREET_QUENCH_USED, (*ends_mm, *ALUMINIUM_RODS_MM))


def engine_windows(top: FileSection) -> Windows:
    """Read the tables [quench] and [compression] and the key quench_band at the top of the file."""
    band = top.take("quench_band", values.yes_or_no)
    quench_table = top.table("quench")
    return Windows(
        quench=_quench(quench_table),
        compression=_window(top.table("compression"), values.ratio),
        least_quench_chance=quench_table.take("chance", values.chance) if quench_table else None,
        quench_band=band is not False,
        compression_stated=top.has("compression"),
    )


def cylinder_windows(section: FileSection, windows: Windows) -> tuple[StatedWindow | None, StatedWindow | None]:
    """Return what is asked of one cylinder's quench and compression: its own, else the engine's, else the street's."""
    own_band = section.take("quench_band", values.yes_or_no)
    band = windows.quench_band if own_band is None else own_band
    own_quench = _quench(section.table("quench"))
    own_compression = _window(section.table("compression"), values.ratio)
    compression = own_compression or windows.compression
    name = str(section.entries.get("name", section.place.item))
    _blame_what_cannot_be_asked(section, band, compression is not None or windows.compression_stated)
    if not band:
        windows.bandless.append(name)
        windows.cautions.append(Caution(About.NO_QUENCH_BAND, name, NO_BAND))
        return None, compression
    quench = own_quench or windows.quench
    if quench is None:
        windows.cautions.append(street_window_used(name))
        return StatedWindow(STREET_QUENCH_MM, NOT_STATED), compression
    windows.cautions.extend(quench_practice(name, quench.window))
    return quench, compression


def blame_idle_quench(top: FileSection, windows: Windows, cylinders: int) -> None:
    """Note a quench window that no cylinder can use, as none has a band."""
    if windows.quench is not None and windows.bandless and len(windows.bandless) >= cylinders:
        top.blame("quench", "no [quench] table where no cylinder has a quench band", "Take one of the two out.")


def _blame_what_cannot_be_asked(section: FileSection, band: bool, compression_asked: bool) -> None:
    if not band and "quench" in section.entries:
        section.blame("quench", "no [quench] table where quench_band is false", "Take one of the two out.")
    if not band and not compression_asked and not section.has("compression"):
        mend = "Add a [compression] table, or leave quench_band = false out."
        section.blame("quench_band", "a window on compression where there is no quench band", mend)
    if compression_asked and not section.has("chamber_volume"):
        mend = "Measure the chamber with a burette and add the line, or leave the [compression] table out."
        section.blame("chamber_volume", 'the chamber volume, as chamber_volume = "54.6 cc"', mend)


def _quench(table: FileSection | None) -> StatedWindow | None:
    if table is None:
        return None
    for end in ("min", "max"):
        table.need(end, lambda value: value, f'both ends of the quench window, as {end} = "0.76 mm"')
    return _window(table, values.length("quench"))


def _window(table: FileSection | None, read: Callable[[object], float]) -> StatedWindow | None:
    """Read min, max and aim of one window; what contradicts itself is noted."""
    window = read_ends(table, read)
    aim = table.take("aim", read) if table else None
    if table is None or window is None:
        return None
    if aim is None:
        return StatedWindow(window, (window.low, None, window.high))
    if window.miss(aim):
        table.blame("aim", "an aim inside its own window", "Move the aim or the ends.")
        return None
    return StatedWindow(Window(window.low, window.high, aim), (window.low, aim, window.high))


def read_ends(table: FileSection | None, read: Callable[[object], float]) -> Window | None:
    """Read min and max of one window; what contradicts itself is noted."""
    if table is None:
        return None
    known_problems = len(table.findings.problems)
    low, high = table.take("min", read), table.take("max", read)
    if len(table.findings.problems) > known_problems:
        return None
    if low is None and high is None:
        table.blame("min", "at least one end of the window", "Add min, max or both.")
        return None
    if is_upside_down(low, high):
        table.blame("min", f"a lower end that does not lie above the upper, {table.entries['max']}")
        return None
    return Window(low, high)
