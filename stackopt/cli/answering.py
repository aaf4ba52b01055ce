"""From engines and a supply to a printed answer: what `fit` and `plan` do alike."""

from __future__ import annotations

import json
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

import click

from stackopt.books import Books
from stackopt.choose import plan
from stackopt.choose.explain import Answer, explained
from stackopt.choose.records import Request
from stackopt.engine.records import Engine
from stackopt.parts.unknown import unknown_names
from stackopt.problems import InputError
from stackopt.report.document import answer_document

SOLVED, SOLVED_WITH_BLOCKED = 0, 1


@dataclass(frozen=True, slots=True)
class Wishes:
    """What the shared options ask for (`options.answer_options`)."""

    today: date
    prefer: tuple[str, ...]
    as_json: bool
    no_color: bool


def answer_and_print(engines: Sequence[Engine], books: Books, asked: Wishes) -> int:
    """Choose for these engines, print the answer, and return the exit code.

    Raises
    ------
    InputError
        When an engine is of a family that no part names, or a name in `prefer` is not known.
    """
    problems = unknown_names(engines, books.parts)
    if problems:
        raise InputError(*problems)
    supply = books.supply_for({engine.family for engine in engines})
    request = Request(tuple(engines), asked.today, asked.prefer)
    answer = explained(request, supply, plan(request, supply))
    _print(answer, asked)
    return SOLVED_WITH_BLOCKED if answer.choice.blocked else SOLVED


def _print(answer: Answer, asked: Wishes) -> None:
    if asked.as_json:
        click.echo(json.dumps(answer_document(answer), allow_nan=False, indent=1))
        return
    from stackopt.report.page import answer_text, terminal  # noqa: PLC0415 - rich is only for those who read tables

    click.echo(answer_text(terminal(colour=not asked.no_color), answer))
