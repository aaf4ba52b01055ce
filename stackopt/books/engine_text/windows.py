"""The windows of an engine file: what is asked of quench and compression, for the engine and for single cylinders."""

from __future__ import annotations

from collections.abc import Callable

from msgspec import Struct, field

from stackopt.books.engine_text import values
from stackopt.books.engine_text.section import Section
from stackopt.engine.practice import quench_practice
from stackopt.engine.records import STREET_QUENCH_MM, Window, is_upside_down

STREET_QUENCH_USED = (
    "No quench window is stated for {cylinders}: the street window of 0.76 to 1.02 mm (0.030 to 0.040 in), "
    "common practice without a source, stands in for it. An aluminium rod or very high speed needs more."
)
NO_BAND = (
    "{cylinders}: the chamber has no quench band, so the question of quench does not arise; "
    "compression alone is targeted."
)


class Windows(Struct):
    """What the engine asks of every cylinder that says nothing of its own."""

    quench: Window | None = None
    compression: Window | None = None
    least_quench_chance: float | None = None
    quench_band: bool = True
    compression_stated: bool = False
    street_for: list[str] = field(default_factory=list)
    bandless: list[str] = field(default_factory=list)
    beyond_practice: list[str] = field(default_factory=list)

    @property
    def cautions(self) -> list[str]:
        """What the builder is to be told about the windows, stated or not."""
        cautions = list(self.beyond_practice)
        if self.street_for:
            cautions.append(STREET_QUENCH_USED.format(cylinders=" and ".join(self.street_for)))
        if self.bandless:
            cautions.append(NO_BAND.format(cylinders=" and ".join(self.bandless)))
        return cautions


def engine_windows(top: Section) -> Windows:
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


def cylinder_windows(section: Section, windows: Windows) -> tuple[Window | None, Window | None]:
    """Return the quench and the compression window of one cylinder: its own, else the engine's, else the street's."""
    own_band = section.take("quench_band", values.yes_or_no)
    band = windows.quench_band if own_band is None else own_band
    own_quench = _quench(section.table("quench"))
    own_compression = _window(section.table("compression"), values.ratio)
    compression = own_compression or windows.compression
    name = str(section.entries.get("name", section.place.item))
    _blame_what_cannot_be_asked(section, band, compression is not None or windows.compression_stated)
    if not band:
        windows.bandless.append(name)
        return None, compression
    quench = own_quench or windows.quench
    if quench is None:
        windows.street_for.append(name)
        return STREET_QUENCH_MM, compression
    windows.beyond_practice.extend(f"{name}: {remark}" for remark in quench_practice(quench))
    return quench, compression


def blame_idle_quench(top: Section, windows: Windows, cylinders: int) -> None:
    """Note a quench window that no cylinder can use, as none has a band."""
    if windows.quench is not None and windows.bandless and len(windows.bandless) >= cylinders:
        top.blame("quench", "no [quench] table where no cylinder has a quench band", "Take one of the two out.")


def _blame_what_cannot_be_asked(section: Section, band: bool, compression_asked: bool) -> None:
    if not band and "quench" in section.entries:
        section.blame("quench", "no [quench] table where quench_band is false", "Take one of the two out.")
    if not band and not compression_asked and not section.has("compression"):
        mend = "Add a [compression] table, or leave quench_band = false out."
        section.blame("quench_band", "a window on compression where there is no quench band", mend)
    if compression_asked and not section.has("chamber_volume"):
        mend = "Measure the chamber with a burette and add the line, or leave the [compression] table out."
        section.blame("chamber_volume", 'the chamber volume, as chamber_volume = "54.6 cc"', mend)


def _quench(table: Section | None) -> Window | None:
    if table is None:
        return None
    for end in ("min", "max"):
        table.need(end, lambda value: value, f'both ends of the quench window, as {end} = "0.76 mm"')
    return _window(table, values.length("quench"))


def _window(table: Section | None, read: Callable[[object], float]) -> Window | None:
    """Read min, max and aim of one window; what contradicts itself is noted."""
    window = read_ends(table, read)
    aim = table.take("aim", read) if table else None
    if table is None or window is None or aim is None:
        return window
    if window.miss(aim):
        table.blame("aim", "an aim inside its own window", "Move the aim or the ends.")
        return None
    return Window(window.low, window.high, aim)


def read_ends(table: Section | None, read: Callable[[object], float]) -> Window | None:
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
