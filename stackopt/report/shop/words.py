"""What is next for an engine, in words, with the command that does it."""

from __future__ import annotations

from shlex import quote

from stackopt.choose.built.board import BoardLine, NextStep


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
        NextStep.USE: f"build: stackopt shop use {engine}",
        NextStep.MEASURE: f"measure: stackopt shop measure {engine} {quote(line.cylinder)} QUENCH",
        NextStep.CLOSE: f"close: stackopt shop close {engine}",
    }
    return words[line.step]
