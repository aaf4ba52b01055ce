"""The full answer where nothing fits: what came nearest, what to ask a supplier for, the smallest cut that would do."""

from __future__ import annotations

import math
from collections.abc import Sequence
from datetime import date, timedelta

from rich.console import RenderableType
from rich.table import Table
from rich.text import Text

from stackopt.choose.blocked import BlockedCylinder, DeckCut, Listing, NearMiss, WouldDo
from stackopt.choose.freeing import Freeing
from stackopt.choose.records import FittedEngine
from stackopt.engine.levers import Lever
from stackopt.engine.records import EDGE_TOLERANCE, Engine
from stackopt.parts.records import Offer
from stackopt.report.fitted import engine_title
from stackopt.report.layout import heading, indented, table
from stackopt.report.wording import both_lengths, counted, thickness, written_date
from stackopt.units import MM_PER_INCH, money

NOBODY = "nobody lists one; ask for it"
NO_HEAD = "none: another base is needed"
METAL = "Metal does not grow back: the cut is the builder's to decide."


def blocked_section(
    engine: Engine, fitted: FittedEngine, cylinders: Sequence[BlockedCylinder], today: date
) -> list[RenderableType]:
    """Return everything to be said of an engine that cannot be finished."""
    laid: list[RenderableType] = [heading(f"{engine_title(engine)}: BLOCKED", style="bold red")]
    laid += [indented(Text(reason)) for reason in fitted.reasons]
    for cylinder in cylinders:
        laid += _cylinder(engine, cylinder, today)
    return laid


def freeing_lines(things: Sequence[Freeing]) -> list[RenderableType]:
    """Return the single things that would free an engine, one a line; nothing where there is none."""
    if not things:
        return []
    lines = [f"-  {_freeing_words(thing)}" for thing in things]
    return [heading("Any one of these would free it, the cheapest known first"), indented(Text("\n".join(lines)))]


def _freeing_words(thing: Freeing) -> str:
    if thing.day is not None:
        return f"wait until {written_date(thing.day)}: {_price(thing)}"
    if thing.part:
        return f"more of {thing.part}: ask for it"
    if thing.thickness_mm is not None:
        wanted = range_words(thing.thickness_mm).replace("\n", " ")
        return f"a head gasket of {wanted}, opening {thing.opening_mm:.1f} mm: ask for it"
    pistons = [f"piston {' and '.join(thing.pistons)}"] if thing.pistons else []
    work = [f"{each.lever} {math.ceil(each.amount_mm * 1000 - 1e-6) / 1000:.3f} mm ({on})" for on, each in thing.work]
    cut = any(each.lever is not Lever.SPACER for _, each in thing.work)
    return f"{' and '.join([*pistons, *work])}: {_price(thing)}{'; metal does not grow back' if cut else ''}"


def _price(thing: Freeing) -> str:
    return "price not known" if thing.cost_cents is None else f"{money(thing.cost_cents)} to pay in all"


def _cylinder(engine: Engine, cylinder: BlockedCylinder, today: date) -> list[RenderableType]:
    """Return what would help one cylinder; nothing where no base or no head gasket at all goes on it."""
    if not cylinder.near_misses:
        return []
    return [
        Text(""),
        heading(f"What would help the {cylinder.cylinder} cylinder"),
        indented(_nearest(cylinder.near_misses)),
        Text(""),
        indented(_ask_for(engine, cylinder.would_do, today)),
        Text(""),
        indented(Text(_cut_words(cylinder.deck_cut))),
    ]


def _nearest(misses: Sequence[NearMiss]) -> Table:
    laid = table("nearest misses", "quench", "ratio", "misses by")
    for miss in misses:
        ratio = "" if miss.compression_ratio is None else f"{miss.compression_ratio:.2f}"
        laid.add_row(" + ".join(miss.parts), both_lengths(miss.quench_mm), ratio, "\n".join(_miss_words(miss)))
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
    return f"{range_words(row.thickness_mm)}\nopening {row.opening_mm:.1f} mm"


def range_words(thickness_mm: tuple[float, float]) -> str:
    """Write a range of thickness, rounded so that both ends still do: ``0.10 to 0.36 mm``, with inches below."""
    low_in, high_in = (end / MM_PER_INCH for end in thickness_mm)
    return f"{_range(*thickness_mm, 2, 'mm')}\n({_range(low_in, high_in, 3, 'in')})"


def _range(low: float, high: float, decimals: int, unit: str) -> str:
    """Round the ends inwards; one decimal more where the range is narrower than the last one."""
    scale = 10.0**decimals
    least = math.ceil(low * scale - EDGE_TOLERANCE * scale) / scale
    if math.isinf(high):
        return f"{least:.{decimals}f} {unit} or more"
    most = math.floor(high * scale + EDGE_TOLERANCE * scale) / scale
    if least > most:
        return f"about {(low + high) / 2:.{decimals + 1}f} {unit}"
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


def _cut_words(cut: DeckCut | None) -> str:
    if cut is None:
        return "No cut of the cylinder's deck makes the pieces on the shelf do."
    cut_mm = math.ceil(cut.cut_mm * 1000 - EDGE_TOLERANCE * 1000) / 1000
    ratio = "" if cut.compression_ratio is None else f" and a ratio of {cut.compression_ratio:.2f}"
    return (
        f"Smallest cut: {cut_mm:.3f} mm off the cylinder's deck, then {' + '.join(cut.parts)} from the shelf give "
        f"{both_lengths(cut.quench_mm)}{ratio}. {METAL}"
    )
