"""The answer where nothing fits: what came nearest, what to ask a supplier for, and the smallest cut that would do."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from datetime import date, timedelta

from rich.console import RenderableType
from rich.table import Table
from rich.text import Text

from stackopt.choose.choice_records import FittedEngine
from stackopt.choose.stacks.ranges import Runs
from stackopt.choose.why.blocked import BlockedCylinder, DeckCut, Listing, NearMiss, WouldDo, open_range
from stackopt.choose.why.explain import Answer
from stackopt.choose.why.freeing import Freeing
from stackopt.engine.cautions import Units
from stackopt.engine.engine_records import EDGE_TOLERANCE, Engine
from stackopt.engine.levers.lever import Lever
from stackopt.parts.part_records import Offer, Part
from stackopt.report.answer.fitted import engine_title
from stackopt.report.layout import bullets, heading, indented, table
from stackopt.report.wording import both_lengths, counted, figure_cell, thickness, written_date
from stackopt.units import MM_PER_INCH, money

NOBODY = "nobody lists one; ask for it"
NO_HEAD = "none: another base is needed"
NO_SINGLE_THING = "No later day, no single gasket and no single lever would free it."
NOT_LOOKED_AT = "What single thing would free it: stackopt fit {} tells."
METAL = "Metal does not grow back: the cut is the builder's to decide."


def blocked_section(answer: Answer, engine: Engine, fitted: FittedEngine) -> list[RenderableType]:
    """Return everything to be said of an engine that cannot be finished."""
    laid: list[RenderableType] = [heading(f"{engine_title(engine)}: BLOCKED", style="bold red")]
    laid += [indented(Text(reason)) for reason in fitted.reasons]
    for cylinder in answer.blocked.get(engine.name, ()):
        laid += _cylinder(answer, engine, cylinder)
    return laid


def freeing_lines(name: str, things: Sequence[Freeing] | None) -> list[RenderableType]:
    """Return the single things that would free an engine, one a line; None where that was not looked at."""
    if not things:
        return [indented(Text(NO_SINGLE_THING if things is not None else NOT_LOOKED_AT.format(name)))]
    lines = bullets(map(freeing_words, things))
    return [heading("Any one of these would free it, the cheapest known first"), indented(lines)]


def freeing_words(thing: Freeing) -> str:
    """Say what one single thing would free an engine, and what is then paid."""
    if thing.day is not None:
        return f"wait until {written_date(thing.day)}: {_price(thing)}"
    if thing.part:
        return f"{thing.pieces} more of {thing.part}: ask for it"
    if thing.thickness_mm is not None:
        wanted = all_runs_words(thing.runs, thing.thickness_mm, thing.commonest_mm)
        wanted = wanted.replace("\ncommonest", ", commonest").replace("\n", " ")
        opening = f", opening {thing.opening_mm:.1f} mm" if thing.opening_mm else ""
        what = f"a {thing.kind}" if thing.pieces == 1 else counted(thing.pieces, str(thing.kind))
        return f"{what} of {wanted}{opening}: ask for it"
    pistons = [f"piston {' and '.join(thing.pistons)}"] if thing.pistons else []
    work = [f"{each.lever} {math.ceil(each.amount_mm * 1000 - 1e-6) / 1000:.3f} mm ({on})" for on, each in thing.work]
    cut = any(each.lever is not Lever.SPACER for _, each in thing.work)
    bound = "; less may do, as the cylinders are bound to each other" if cut and not thing.smallest else ""
    remark = (
        f"; metal does not grow back{bound}" if cut else "; the amount that comes nearest to the aims" if work else ""
    )
    return f"{' and '.join([*pistons, *work])}: {_price(thing)}{remark}"


def _price(thing: Freeing) -> str:
    return "price not known" if thing.cost_cents is None else f"{money(thing.cost_cents)} to pay in all"


def _cylinder(answer: Answer, engine: Engine, cylinder: BlockedCylinder) -> list[RenderableType]:
    """Return what would help one cylinder; nothing where no base or no head gasket at all goes on it."""
    if not cylinder.near_misses and not cylinder.would_do:
        return []
    nearest: list[RenderableType] = []
    if cylinder.near_misses:
        nearest = [indented(_nearest(cylinder.near_misses, answer.supply.parts)), Text("")]
    return [
        Text(""),
        heading(f"What would help the {cylinder.cylinder} cylinder"),
        *nearest,
        indented(_ask_for(engine, cylinder.would_do, answer.request.today)),
        Text(""),
        indented(Text(_cut_words(cylinder.deck_cut, answer.supply.parts))),
    ]


def _nearest(misses: Sequence[NearMiss], parts: Mapping[str, Part]) -> Table:
    laid = table("nearest misses", "quench", "ratio", "misses by")
    for miss in misses:
        estimated = any(parts[number].estimated for number in miss.parts)
        quench = figure_cell(both_lengths(miss.quench_mm), estimated=estimated)
        ratio = miss.compression_ratio
        ratio_cell = "" if ratio is None else figure_cell(f"{ratio:.2f}", estimated=estimated)
        laid.add_row(" + ".join(miss.parts), quench, ratio_cell, "\n".join(_miss_words(miss)))
    return laid


def _miss_words(miss: NearMiss) -> list[str]:
    words = []
    if miss.quench_miss_mm:
        words.append(f"{abs(miss.quench_miss_mm):.3f} mm too {'wide' if miss.quench_miss_mm > 0 else 'tight'}")
    if miss.compression_miss:
        words.append(f"ratio {abs(miss.compression_miss):.2f} too {'high' if miss.compression_miss > 0 else 'low'}")
    return words


def _ask_for(engine: Engine, rows: Sequence[WouldDo], today: date) -> Table:
    laid = table("with this base", "a head gasket of", "who lists one")
    for row in rows:
        laid.add_row(" + ".join(row.base), _asked_words(row), _who_lists(engine, row, today))
    return laid


def _asked_words(row: WouldDo) -> str:
    if row.thickness_mm is None:
        return NO_HEAD
    return f"{all_runs_words(row.runs, row.thickness_mm, row.commonest_mm)}\nopening {row.opening_mm:.1f} mm"


def all_runs_words(runs: Runs, widest_mm: tuple[float, float], commonest_mm: float | None) -> str:
    """Write every run of thickness that does, the widest with its inches, and the commonest thickness inside."""
    words = range_words(widest_mm)
    others = [range_words(open_range(run) or run).replace("\n", " ") for run in runs if open_range(run) != widest_mm]
    words += f"\nor {' or '.join(others)}" if others else ""
    return words if commonest_mm is None else f"{words}\ncommonest {thickness(commonest_mm)}"


def range_words(thickness_mm: tuple[float, float]) -> str:
    """Write a range of thickness, rounded so that both ends still do: ``0.10 to 0.36 mm``, with inches below."""
    low_in, high_in = (end / MM_PER_INCH for end in thickness_mm)
    return f"{_range(*thickness_mm, 2, 'mm')}\n({_range(low_in, high_in, 3, 'in')})"


def one_run(thickness_mm: tuple[float, float], units: Units = Units.MM) -> str:
    """Write a run of thickness in these units, rounded so that both ends still do."""
    low_mm, high_mm = open_range(thickness_mm) or thickness_mm
    if units is Units.INCH:
        return _range(low_mm / MM_PER_INCH, high_mm / MM_PER_INCH, 4, "in")
    return _range(low_mm, high_mm, 2, "mm")


def _range(low: float, high: float, decimals: int, unit: str) -> str:
    """Round the ends inwards; one decimal more where the range is narrower than the last one."""
    scale = 10.0**decimals
    least = math.ceil(low * scale - EDGE_TOLERANCE * scale) / scale
    if math.isinf(high):
        return f"{least:.{decimals}f} {unit} or more"
    most = math.floor(high * scale + EDGE_TOLERANCE * scale) / scale
    if least > most:
        return f"about {(low + high) / 2:.{decimals + 1}f} {unit}"
    if least == most:
        return f"{most:.{decimals}f} {unit}"
    return (
        f"at most {most:.{decimals}f} {unit}" if least <= 0 else f"{least:.{decimals}f} to {most:.{decimals}f} {unit}"
    )


def _who_lists(engine: Engine, row: WouldDo, today: date) -> str:
    if not row.listings:
        return "" if row.thickness_mm is None else NOBODY
    return "\n".join(line for listing in row.listings for line in _listing_lines(engine, listing, today))


def _listing_lines(engine: Engine, listing: Listing, today: date) -> list[str]:
    name = f"{listing.part.number}, {thickness(listing.part.thickness_mm)}"
    if not listing.offers:
        return [f"{name}: none free, no supplier lists it"]
    return [f"{name}: {offer_words(offer, engine.due, today)}" for offer in listing.offers]


def offer_words(offer: Offer, due: date | None, today: date) -> str:
    """Say who sells a part, at what price, when it would be here, and whether that is too late."""
    if offer.discontinued:
        return f"{offer.supplier}, discontinued"
    here = today + timedelta(days=offer.lead_days)
    pack = "" if offer.pack == 1 else f" a pack of {offer.pack}"
    late = "" if due is None or here <= due else f", {counted((here - due).days, 'day')} late"
    special = ", special order" if offer.special_order else ""
    return (
        f"{offer.supplier}, {money(offer.price_cents(offer.minimum_packs))}{pack}{special}, "
        f"here {written_date(here)}{late}"
    )


def _cut_words(cut: DeckCut | None, parts: Mapping[str, Part]) -> str:
    if cut is None:
        return "No cut of the cylinder's deck makes the pieces on the shelf do."
    cut_mm = math.ceil(cut.cut_mm * 1000 - EDGE_TOLERANCE * 1000) / 1000
    ratio = "" if cut.compression_ratio is None else f" and a ratio of {cut.compression_ratio:.2f}"
    estimate = ", an estimate" if any(parts[number].estimated for number in cut.parts) else ""
    return (
        f"Smallest cut: {cut_mm:.3f} mm off the cylinder's deck, then {' + '.join(cut.parts)} from the shelf give "
        f"{both_lengths(cut.quench_mm)}{ratio}{estimate}. {METAL}"
    )
