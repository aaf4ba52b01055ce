"""Which thicknesses to keep, on a terminal: the range, what it builds, beside what, and how sure that is."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from datetime import date

from rich.console import Console, RenderableType
from rich.table import Table
from rich.text import Text

from stackopt.choose.choice_records import Status
from stackopt.parts.part_records import Part
from stackopt.report.layout import captured_text, heading, indented, table
from stackopt.report.wording import counted, thickness, written_date
from stackopt.stocking.range.range_records import RangeAnswer, RangePart, ValuedRange
from stackopt.units import money

# Built in the draws a range was chosen by, and so much less in fresh ones: it fits those draws and not the engines.
FEW_DRAWS = 0.05


def range_text(console: Console, answer: RangeAnswer, parts: Mapping[str, Part], today: date) -> str:
    """Return which thicknesses to keep as text for a console, a blank line after each section."""
    return captured_text(console, _sections(answer, parts, today))


def _sections(answer: RangeAnswer, parts: Mapping[str, Part], today: date) -> Iterator[list[RenderableType]]:
    kept = [line for line in answer.parts if line.keep]
    sold = [line for line in answer.parts if line.sell_off]
    yield [heading(_title(answer, today)), Text(_drawn_words(answer))]
    if kept:
        yield [heading("To keep"), indented(_kept_table(kept, parts)), indented(Text(_buying_words(kept)))]
    else:
        yield [heading("Nothing to keep: no range for this money builds an engine")]
    if sold:
        yield [heading("To sell off, or not to fill up again"), indented(_sold_table(sold, parts)), _sold_words()]
    yield [
        heading("What it builds, beside today's shelf and two simple rules for the same money"),
        indented(_beside_table(answer)),
    ]
    yield [heading("More money, less money"), indented(_curve_table(answer)), indented(Text(_more_words(answer)))]
    yield [Text(_proof_words(answer))]


def _title(answer: RangeAnswer, today: date) -> str:
    built = _percent(answer.chosen.share.mean)
    return (
        f"The range to keep for {money(answer.budget_cents)}, {written_date(today)}: "
        f"{built} of the engines to come are built from the shelf"
    )


def _drawn_words(answer: RangeAnswer) -> str:
    outlook = answer.outlook
    total = sum(family.share for family in outlook.families)
    shares = ", ".join(f"{family.family} {_percent(family.share / total)}" for family in outlook.families)
    return (
        f"Engines to come: {shares}; {outlook.engines} before the shelf is filled again. Chosen by "
        f"{outlook.scenarios} draws of them, seed {outlook.seed}."
    )


def _kept_table(lines: Sequence[RangePart], parts: Mapping[str, Part]) -> Table:
    laid = table("part", "what", "keep", "here", "buy", "asked", right=("keep", "here", "asked"))
    for line in lines:
        laid.add_row(
            line.keepable.part,
            _what(parts[line.keepable.part]),
            str(line.keep),
            str(line.keepable.on_hand),
            _buy_words(line),
            f"{line.asked:.1f}",
        )
    return laid


def _what(part: Part) -> str:
    return f"{part.kind}, {thickness(part.thickness_mm)}"


def _buy_words(line: RangePart) -> str:
    if not line.packs:
        return ""
    packs = counted(line.packs, "pack") if line.keepable.pack > 1 else str(line.packs)
    of = f" of {line.keepable.pack}" if line.keepable.pack > 1 else ""
    return f"{packs}{of}, {line.keepable.supplier}, {money(line.buy_cents)}"


def _buying_words(kept: Sequence[RangePart]) -> str:
    spend_cents = sum(line.buy_cents for line in kept)
    asked = "asked: pieces that an average draw takes where every cylinder gets the stack nearest its aims."
    bought = f"To buy: {money(spend_cents)}, freight not counted." if spend_cents else "Nothing to buy."
    return f"{bought}\n{asked}"


def _sold_words() -> RenderableType:
    return indented(
        Text("What is asked for can still go: other thicknesses that are kept build those engines for less.")
    )


def _sold_table(lines: Sequence[RangePart], parts: Mapping[str, Part]) -> Table:
    laid = table("part", "what", "pieces", "of", "worth", "asked", right=("pieces", "of", "worth", "asked"))
    for line in lines:
        laid.add_row(
            line.keepable.part,
            _what(parts[line.keepable.part]),
            str(line.sell_off),
            str(line.keepable.on_hand),
            money(round(line.sell_off * line.keepable.piece_cents)),
            f"{line.asked:.1f}",
        )
    return laid


def _beside_table(answer: RangeAnswer) -> Table:
    laid = table("range", "tied up", "built", "", right=("tied up", "built"))
    rows = (
        ("this one", answer.chosen),
        ("today's shelf", answer.today),
        ("equal numbers of every thickness", answer.equal),
        ("the commonest needs first", answer.commonest),
    )
    for name, each in rows:
        laid.add_row(name, *_figures(each), "" if each is answer.chosen else _compared(answer.chosen, each))
    laid.add_row("every part without end", "", _percent(answer.reachable), "what no money passes")
    return laid


def _figures(each: ValuedRange) -> tuple[str, str]:
    return money(each.cents), f"{_percent(each.share.mean)} ± {100 * each.share.half_width:.1f}"


def _compared(chosen: ValuedRange, other: ValuedRange) -> str:
    points = round(100 * (chosen.share.mean - other.share.mean))
    return f"{counted(abs(points), 'point')} {'fewer' if points > 0 else 'more'}" if points else "as many"


def _curve_table(answer: RangeAnswer) -> Table:
    laid = table("tied up", "built", "a further 100.00 brings", right=("tied up", "built", "a further 100.00 brings"))
    for point, dearer in zip(answer.curve, [*answer.curve[1:], None], strict=True):
        further = "" if dearer is None else f"{_further_points(point, dearer):.1f} points"
        laid.add_row(*_figures(point), further, style="bold" if point.cents == answer.chosen.cents else "")
    return laid


def _further_points(point: ValuedRange, dearer: ValuedRange) -> float:
    """Return percentage points that 100.00 more bring on the way to the next point."""
    return 100 * 10_000 * (dearer.share.mean - point.share.mean) / (dearer.cents - point.cents)


def _more_words(answer: RangeAnswer) -> str:
    more = answer.more_per_cent_spent
    if more is None:
        return "No dearer range was found that builds more."
    return f"From here each 1.00 more brings {100 * 100 * more:.2f} more of 100 engines, up to the next line."


def _proof_words(answer: RangeAnswer) -> str:
    proof = answer.proof
    drawn = f"in the {answer.outlook.scenarios} draws by which it was chosen, it builds {_percent(proof.share)}"
    if proof.status is Status.PROVEN:
        words = f"Proven: {drawn}, and no other range for the money builds more."
    else:
        words = f"Best found, not proven: {drawn}; no range for the money passes {_percent(proof.bound)}."
    words += " The shares above are of fresh draws, ± their 95 % interval."
    if proof.share - answer.chosen.share.mean > FEW_DRAWS:
        words += " It builds fewer there, so the draws by which it was chosen are too few: take more, --scenarios."
    if proof.gap_limit is not None:
        words += (
            f" Over all engines to come the best range there is builds at most {100 * proof.gap_limit:.1f} points more "
            f"(95 % confidence, {proof.batches} further sets of draws)."
        )
    return words


def _percent(share: float) -> str:
    return f"{100 * share:.0f} %"
