"""What each lever would do: a table of one engine, a row for each amount, with everything that then comes out."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING

from msgspec.structs import replace
from rich.console import RenderableType

from stackopt.engine.levers.lever import Lever
from stackopt.parts.part_records import Kind
from stackopt.report.layout import heading, indented, table
from stackopt.units import money

# Levers are looked at where an engine allows them or they are asked about: not what every call waits for.
if TYPE_CHECKING:
    from stackopt.choose.why.lever_offers import LeverOffer
    from stackopt.engine.effects.effect import Effect
    from stackopt.engine.effects.figures import Figure

NOTHING_DONE = "What levers would do (offers: nothing here is done unless [levers] of the engine file allows it)"


def lever_table(engine: str, offers: Sequence[LeverOffer]) -> list[RenderableType]:
    """Return heading and table of what levers would do for an engine; nothing where none was asked about."""
    if not offers:
        return []
    laid = table("cylinder", "lever", "for", "amount", "price", "then", right=("amount", "price"))
    before = ""
    for offer in offers:
        name = "" if offer.cylinder == before else offer.cylinder
        laid.add_row(name, offer.lever, offer.reaches, _amount(offer), _price(offer), "\n".join(_then(offer)))
        before = offer.cylinder
    return [heading(f"{engine}: {NOTHING_DONE[0].lower()}{NOTHING_DONE[1:]}"), indented(laid)]


def _amount(offer: LeverOffer) -> str:
    if offer.lever == Kind.PISTON:
        return "" if offer.effect is None or offer.effect.inside else "not enough"
    if offer.amount_mm is None:
        return "none does"
    if not offer.amount_mm:
        return "none needed"
    if offer.is_least:
        return f"at least {math.ceil(offer.amount_mm * 1000 - 1e-6) / 1000:.3f} mm"
    return f"{offer.amount_mm:.3f} mm"


def _price(offer: LeverOffer) -> str:
    if offer.effect is None or offer.amount_mm == 0:
        return ""
    if offer.price_cents is None:
        return "not stated"
    return "on the shelf" if offer.lever == Kind.PISTON and not offer.price_cents else money(offer.price_cents)


def _then(offer: LeverOffer) -> Iterator[str]:
    if offer.effect is None:
        yield f"looked at up to {offer.most_mm:g} mm"
        return
    yield " + ".join(offer.parts)
    if offer.amount_mm == 0:
        return
    estimated = offer.lever in (Kind.PISTON, Lever.HEAD_CUT)
    yield _measures(offer.effect, quench_estimated=offer.lever == Kind.PISTON, ratio_estimated=estimated)
    if not offer.effect.inside:
        yield "outside a window or limit"
    for figure in (*offer.effect.moved, *((offer.ports,) if offer.ports else ())):
        yield _figure(figure)


def _figure(figure: Figure) -> str:
    """Name a figure with its value, and its limit only where that is passed; the rest stands with the cylinder."""
    if not figure.within:
        return f"{figure}: past its limit"
    return str(replace(figure, remark=""))


def _measures(effect: Effect, *, quench_estimated: bool, ratio_estimated: bool) -> str:
    quench = f"quench {effect.quench_mm:.3f} mm{', an estimate' if quench_estimated else ''}"
    if effect.compression_ratio is None:
        return quench
    return f"{quench}; ratio {effect.compression_ratio:.2f}{', an estimate' if ratio_estimated else ''}"
