"""One field of the form beyond the usual: what it is called, in which unit a bare number stands, what can be picked."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from msgspec import Struct


class FurtherField(Struct, frozen=True):
    """One field: its name, its label, and the unit that a bare number has in it.

    `unit` is empty where it has none, and `length` where it has the unit that the form types lengths in. A number
    that an engine file writes without quotes has `is_number`. `options` are what can be picked, where it is no text.
    """

    name: str
    label: str
    unit: str = ""
    is_number: bool = False
    options: tuple[str, ...] = ()


# Makes of a field and its name what was typed: a number or a text, as an engine file writes it.
FormReader = Callable[[FurtherField, str], Any]


def said_of(fields: tuple[FurtherField, ...], prefix: str, read: FormReader) -> dict[str, object]:
    """Return what was typed in some fields, by name; those left empty are not said."""
    found = {one.name: read(one, prefix + one.name) for one in fields}
    return {name: said for name, said in found.items() if said not in ("", None)}


def put(top: dict[str, object], name: str, said: object) -> None:
    """Put what was said into its table: ``running.speed`` into ``running``."""
    table, _, key = name.rpartition(".")
    within = top.setdefault(table, {}) if table else top
    assert isinstance(within, dict)
    within[key] = said
