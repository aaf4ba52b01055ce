"""From engines and a supply to a printed answer: what `fit` and `plan` do alike."""

from __future__ import annotations

import json
from collections.abc import Sequence
from dataclasses import replace

import click

from stackopt.choose.explain import Answer, explained
from stackopt.choose.patience import Patience
from stackopt.choose.plan import plan
from stackopt.choose.records import Request
from stackopt.cli.ledger_source import LedgerSource
from stackopt.cli.options import Wishes
from stackopt.cli.source import Source
from stackopt.cli.watching import watched
from stackopt.engine.records import Engine
from stackopt.parts.records import Supply
from stackopt.parts.unknown import unknown_names
from stackopt.problems import InputError
from stackopt.report.document import answer_document
from stackopt.shop.note import Note

SOLVED, SOLVED_WITH_BLOCKED = 0, 1


def answer_and_print(engines: Sequence[Engine], source: Source, asked: Wishes) -> int:
    """Choose for these engines, hold what is chosen where that is asked, print the answer, and return the exit code.

    Raises
    ------
    InputError
        When an engine is of a family that no part names, or a name in `prefer` is not known; or when what was chosen
        cannot be held.
    """
    supply = source.supply_for({engine.family for engine in engines})
    if not _knows_all(supply, engines):
        problems = unknown_names(engines, source.parts)
        if problems:
            raise InputError(*problems)
    patience = Patience.of_seconds(asked.time_limit)
    request = Request(tuple(engines), asked.today, asked.prefer, patience)
    with watched(patience):
        choice = plan(request, supply)
    if asked.hold and isinstance(source, LedgerSource):
        click.echo(source.hold(request, choice, Note(asked.who, asked.why)), err=True)
    _print(explained(replace(request, patience=Patience()), supply, choice), asked)
    return SOLVED_WITH_BLOCKED if choice.blocked else SOLVED


def _knows_all(supply: Supply, engines: Sequence[Engine]) -> bool:
    """Tell whether what was read names every family and every part already fitted; then there is no need to read on."""
    families = {family for part in supply.parts.values() for family in part.families}
    fitted = {number for engine in engines for numbers in engine.pinned.values() for number in numbers}
    return {engine.family for engine in engines} <= families and fitted <= supply.parts.keys()


def _print(answer: Answer, asked: Wishes) -> None:
    if asked.as_json:
        click.echo(json.dumps(answer_document(answer), allow_nan=False, indent=1))
        return
    from stackopt.report.page import answer_text, terminal  # noqa: PLC0415 - rich is only for those who read tables

    click.echo(answer_text(terminal(colour=not asked.no_color), answer))
