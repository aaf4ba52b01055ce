"""The commands of ``stackopt shop`` on what was built and measured."""

from __future__ import annotations

import json
from collections.abc import Iterator, Mapping, Sequence
from typing import Any

import click

from stackopt.choose.built.build import Build, MeasuredQuench
from stackopt.choose.stacks.worked import quench_estimated
from stackopt.cli.helping import examples
from stackopt.cli.ledger_options import looking_options, noted_options
from stackopt.cli.printing import print_json
from stackopt.cli.tables import print_table
from stackopt.engine.effects.limits import within_reason
from stackopt.parts.gauge import CommonOffset
from stackopt.parts.learned import OUTLIER_DEVIATIONS
from stackopt.parts.lots import Batch
from stackopt.parts.own import ENOUGH_CYLINDERS
from stackopt.problems import UnreadableError
from stackopt.report.shop.words import offset_words
from stackopt.report.wording import counted
from stackopt.shop.database.note import Note
from stackopt.shop.entries.recorded import written
from stackopt.shop.ledger import open_ledger
from stackopt.units import length_mm


class Quench(click.ParamType[float]):
    """A measured quench with its unit, as 0.91 mm or 0.036 in."""

    name = "QUENCH"

    def convert(self, value: Any, param: click.Parameter | None, ctx: click.Context | None) -> float:
        """Return millimetres; a text without a length of an ordinary size is a wrong call."""
        try:
            return within_reason("quench", length_mm(value), value)
        except UnreadableError as error:
            self.fail(str(error.problem), param, ctx)


@click.command(epilog=examples('shop measure J-104 front "0.91 mm" "0.93 mm" "0.036 in"'))
@noted_options
@click.argument("engine")
@click.argument("cylinder")
@click.argument("places", nargs=-1, required=True, type=Quench(), metavar="QUENCH...")
def measure(ledger: str, note: Note, engine: str, cylinder: str, places: tuple[float, ...]) -> None:
    """Write down the quench of one cylinder as built, read at one or several places of the band."""
    opened = open_ledger(ledger)
    opened.measure(engine, cylinder, places, note)
    shared = opened.common_offset()
    for line in measured_lines(opened.build(engine).measured[-1], shared):
        click.echo(line)
    for line in offset_lines(shared):
        click.echo(line)


def offset_lines(shared: CommonOffset | None) -> list[str]:
    """Return what all measurements together say of the gauge, in words: one finding, whatever single ones said."""
    return [] if shared is None else [offset_words(shared)]


def _is_like_the_others(measured: MeasuredQuench, shared: CommonOffset | None) -> bool:
    off_mm = measured.measured_mm - measured.expected_mm
    return shared is not None and abs(off_mm - shared.offset_mm) <= OUTLIER_DEVIATIONS * measured.deviation_mm


def measured_lines(measured: MeasuredQuench, shared: CommonOffset | None = None) -> list[str]:
    """Return what a measurement says, in words; what is off like all the others is no mistake of its own."""
    lines = [
        f"{measured.cylinder}: measured {measured.measured_mm:.3f} mm, predicted {measured.predicted_mm:.3f} mm, "
        f"difference {measured.difference_mm:+.3f} mm"
    ]
    if measured.taken_back:
        return [*lines, f"That was {measured.taken_back}. Nothing is learned from it."]
    if not measured.learned and _is_like_the_others(measured, shared):
        lines.append("That is off as the other cylinders are. Nothing is learned from it.")
    elif not measured.learned:
        off = abs(measured.measured_mm - measured.expected_mm) / measured.deviation_mm
        lines.append(
            f"That is {off:.1f} standard deviations from what these parts should come to: a mistake to look for, in "
            "the reading, the deck or the parts. Nothing is learned from it."
        )
    return lines


@click.command()
@looking_options
@click.option("--json", "as_json", is_flag=True, help="Print one JSON document instead of a table.")
def thickness(ledger: str, as_json: bool) -> None:
    """Print the installed thickness of every measured part: listed, the shop's own, and after how many cylinders.

    Below stand the deliveries of which pieces were measured when they came, as far as pieces of them may lie there.
    """
    opened = open_ledger(ledger)
    own, shared = opened.thicknesses()
    parts = opened.supply().parts
    rows = [
        {
            "part": each.part,
            "listed_mm": each.listed_mm,
            "own_mm": round(each.own_mm, 4),
            "deviation_mm": round(each.deviation_mm, 4),
            "measurements": each.measurements,
            "used_mm": round(parts[each.part].thickness_mm, 4),
        }
        for each in own.values()
    ]
    lots = opened.lots_on_shelf(opened.balances())
    if as_json:
        print_json({"parts": rows, "common_offset": _offset_document(shared), "deliveries": _lots_document(lots)})
        return
    if rows:
        heads = ("part", "listed, mm", "own, mm", "± (1 s), mm", "cylinders measured", "fit goes by, mm")
        print_table(heads, [tuple(row.values()) for row in rows])
    if not rows and not lots:
        click.echo("Nothing was measured yet: stackopt shop measure, or stackopt shop receive --measured.")
    for line in (*_lots_lines(lots), *offset_lines(shared)):
        click.echo(line)


def _lots_lines(lots: Mapping[str, Sequence[Batch]]) -> Iterator[str]:
    """Yield what was measured of the pieces that may lie on the shelf, a line a part."""
    for part, of_part in lots.items():
        told = [
            f"{lot.pieces} measured as {', '.join(f'{read:.3f}' for read in lot.readings_mm)} mm"
            if lot.readings_mm
            else f"{lot.pieces} that nobody measured"
            for lot in of_part
        ]
        yield f"{part}, pieces that came since the shelf was last empty: {'; '.join(told)}"


def _lots_document(lots: Mapping[str, Sequence[Batch]]) -> list[dict[str, Any]]:
    return [
        {"part": part, "pieces": lot.pieces, "readings_mm": list(lot.readings_mm)}
        for part, of_part in lots.items()
        for lot in of_part
    ]


def _offset_document(shared: CommonOffset | None) -> dict[str, Any] | None:
    if shared is None:
        return None
    return {
        "offset_mm": round(shared.offset_mm, 4),
        "deviation_mm": round(shared.deviation_mm, 4),
        "cylinders": shared.cylinders,
        "measured": shared.measured,
        "parts": list(shared.parts),
    }


@click.command()
@noted_options
@click.argument("part")
def adopt(ledger: str, note: Note, part: str) -> None:
    """Let fit and plan go by the shop's own thickness of a part, in place of the listed one.

    Taken back with stackopt shop undo; a thickness listed anew ends it.
    """
    opened = open_ledger(ledger)
    own = opened.adopt(part, note)
    after = counted(own.measurements, "cylinder")
    click.echo(f"{part}: {own.own_mm:.3f} mm after {after}, listed {own.listed_mm:.3f} mm")
    if own.measurements < ENOUGH_CYLINDERS:
        click.echo(
            f"That is little to rest on: its mean is known to ± {2 * own.deviation_mm:.3f} mm (95 %). Measure "
            f"{ENOUGH_CYLINDERS} cylinders or more, and one piece crushed, before you rely on it."
        )
    for line in offset_lines(opened.common_offset()):
        click.echo(line)


@click.command()
@looking_options
@click.option("--json", "as_json", is_flag=True, help="Print the whole record as one JSON document.")
@click.argument("engine")
def build(ledger: str, as_json: bool, engine: str) -> None:
    """Print the record of a build: what was chosen, fitted and measured."""
    opened = open_ledger(ledger)
    record = opened.build(engine)
    if as_json:
        print_json(json.loads(written(record)))
        return
    _print_build(engine, record, opened.common_offset())


def _print_build(engine: str, record: Build, shared: CommonOffset | None) -> None:
    chosen = record.chosen
    click.echo(f"{engine}, family {chosen.engine.family}: chosen by {record.chosen_by} on {record.chosen_at}")
    closed = f"closed by {record.closed_by} on {record.closed_at}" if record.closed_at else "still open"
    click.echo(f"{chosen.status.value}; {closed}")
    parts = {part.number: part for part in chosen.parts}
    rows = [
        (
            cylinder.cylinder,
            ", ".join([*(piece.part for piece in cylinder.pieces), *map(str, cylinder.work)]),
            f"{cylinder.quench_mm:.3f}{', an estimate' if quench_estimated(cylinder, parts) else ''}",
        )
        for cylinder in chosen.fitted.cylinders
    ]
    print_table(("cylinder", "pieces", "quench, mm"), rows)
    for taken in record.taken:
        click.echo(f"{taken.quantity} of {taken.part} fitted by {taken.who} on {taken.at}")
    for measured in record.measured:
        for line in measured_lines(measured, shared):
            click.echo(line)
    for line in offset_lines(shared if record.measured else None):
        click.echo(line)


@click.command()
@noted_options
@click.argument("engine")
def close(ledger: str, note: Note, engine: str) -> None:
    """Close an engine's record: from now on nothing in it changes."""
    record = open_ledger(ledger).close(engine, note)
    click.echo(f"{engine} is closed: {len(record.taken)} entries fitted, {len(record.measured)} measured.")
