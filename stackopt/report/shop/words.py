"""What is next for an engine, in words, with the command that does it; and what all measurements say together."""

from __future__ import annotations

from shlex import quote

from stackopt.choose.built.board import BoardLine, NextStep
from stackopt.parts.gauge import CommonOffset
from stackopt.parts.learned import OwnThickness
from stackopt.report.wording import counted


def next_words(line: BoardLine) -> str:
    """Return what is next for an engine: ``send order 3: stackopt shop send 3``; empty where nothing is."""
    if line.step is NextStep.NOTHING:
        return ""
    engine = quote(line.engine)
    words = {
        NextStep.PLAN: f"plan: stackopt fit {engine} --hold",
        NextStep.ASK: f"see why, and what to ask for: stackopt fit {engine}",
        NextStep.SEND: f"send order {line.order}: stackopt shop send {line.order}",
        NextStep.RECEIVE: f"receive order {line.order}: stackopt shop receive --order {line.order}",
        NextStep.TRANSFER: f"have it brought: {transfer_words(line)}",
        NextStep.USE: f"build: stackopt shop use {engine}",
        NextStep.MEASURE: f"measure: stackopt shop measure {engine} {quote(line.cylinder)} QUENCH",
        NextStep.CLOSE: f"close: stackopt shop close {engine}",
    }
    return words[line.step]


def transfer_words(line: BoardLine) -> str:
    """Return the command that sends an engine all that is held for it at the first of the other branches."""
    origin = next((each.branch for each in line.waits_for if each.branch), "")
    return f"stackopt shop transfer --due --from {quote(origin)} --to {quote(line.branch)}"


def offset_words(shared: CommonOffset) -> str:
    """Say what all measurements together show of the gauge: one finding, whatever single ones said."""
    numbers = counted(len(shared.parts), "part number")
    return (
        f"{shared.cylinders} of {shared.measured} measured cylinders lie off alike, by {shared.offset_mm:+.3f} mm ± "
        f"{2 * shared.deviation_mm:.3f} mm (95 %), over {numbers}: one cause, such as "
        "a gauge or a way of reading that is off the same way for every part. Hold the gauge against a known "
        "thickness, and adopt no own thickness before that."
    )


def ended_words(ended: OwnThickness) -> str:
    """Return what it means that an adopted thickness has lost what it rested on."""
    return (
        f"{ended.part}: fit goes by the listed {ended.listed_mm:.3f} mm again. "
        f"The adopted {ended.own_mm:.3f} mm rested on what is taken back."
    )
