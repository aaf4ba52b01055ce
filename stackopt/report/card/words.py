"""The sentences of the card, the same on paper and on a page."""

from __future__ import annotations

from collections.abc import Iterator

from stackopt.report.card.sheet import CardPiece, CardSheet, SheetCylinder
from stackopt.report.wording import both_lengths, chance, thickness, written_date
from stackopt.units import inches, money


def heading_words(sheet: CardSheet) -> str:
    """Say what engine it is, until when, and who chose."""
    due = f", parts due {written_date(sheet.due)}" if sheet.due else ""
    chosen = f", chosen by {sheet.chosen_by}" if sheet.chosen_by else ""
    return f"Family {sheet.family}{due}{chosen}"


def steps_words(sheet: CardSheet) -> Iterator[str]:
    """Say whether all is here, what is to be paid, and how sure the choice is."""
    if sheet.blocked:
        yield "Nothing that fits can be had in time."
        return
    if sheet.ready_on is not None:
        yield (
            "All of it is here."
            if sheet.ready_on <= sheet.day
            else f"All of it is here on {written_date(sheet.ready_on)}."
        )
    if sheet.orders:
        yield f"To pay now: {money(sheet.spend_cents)}."
    yield "Proven: nothing better can be had." if sheet.proven else "The best found; not proven to be the best."


def piece_words(piece: CardPiece) -> tuple[str, str]:
    """Say what a piece is, and where it comes from."""
    size = f", {thickness(piece.thickness_mm)} ({inches(piece.thickness_mm)})" if piece.thickness_mm else ""
    estimate = ", an estimate" if piece.estimated else ""
    both = "; one piece for both cylinders" if piece.both else ""
    return f"{piece.role} {piece.part}{size}{estimate}", f"{piece.source}{both}"


def result_words(cylinder: SheetCylinder) -> Iterator[str]:
    """Say what comes out: quench and ratio with their spread, and the chance."""
    if cylinder.quench_mm is None:
        return
    yield f"quench {both_lengths(cylinder.quench_mm)}{_off(cylinder.off_quench)}"
    if cylinder.quench is not None:
        low, high = cylinder.quench.low, cylinder.quench.high
        yield f"  95 % within {low:.3f} to {high:.3f} mm ({inches(low)} to {inches(high)})"
    yield f"ratio {'not known' if cylinder.ratio is None else f'{cylinder.ratio:.2f}'}{_off(cylinder.off_ratio)}"
    if cylinder.ratio_spread is not None:
        yield f"  95 % within {cylinder.ratio_spread.low:.2f} to {cylinder.ratio_spread.high:.2f}"
    known = "not known" if cylinder.chance is None else chance(cylinder.chance)
    yield f"chance of landing in the window: {known}"
    if cylinder.left_out:
        yield f"  left out: {', '.join(cylinder.left_out)}"


def _off(words: str) -> str:
    return f", {words}" if words else ""
