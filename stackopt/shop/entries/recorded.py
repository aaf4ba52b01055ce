"""Records of the program as JSON text, and back."""

from __future__ import annotations

import json
import types
import typing
from collections.abc import Mapping
from datetime import date
from enum import Enum
from functools import lru_cache
from typing import Any, TypeVar

import msgspec
from msgspec import Struct

from stackopt.engine.cautions import About, Caution

Record = TypeVar("Record")


def written(record: Any) -> str:
    """Write a record as JSON text; equal records give equal texts."""
    return json.dumps(_plain(record), sort_keys=True, ensure_ascii=False)


def _plain(value: Any) -> Any:
    if isinstance(value, Struct):
        return {name: _plain(getattr(value, name)) for name in value.__struct_fields__}
    if isinstance(value, Mapping):
        return {key: _plain(item) for key, item in value.items()}
    if isinstance(value, frozenset):
        return sorted(value)
    if isinstance(value, tuple):
        return [_plain(item) for item in value]
    if isinstance(value, date):
        return value.isoformat()
    # JSON has no infinity, which the degrees of freedom of an uncertainty can be.
    return str(value) if value == float("inf") else value


def read_as(kind: type[Record], text: str) -> Record:
    """Read a record from its JSON text; fields that the text lacks keep their defaults."""
    try:
        return msgspec.json.decode(text, type=kind, strict=False)  # an infinity is written as text
    except msgspec.ValidationError:  # written by an older program
        record: Record = _record(kind, json.loads(text))
        return record


def _record(kind: Any, plain: dict[str, Any]) -> Any:
    types_of = _types_of(kind)
    return kind(**{name: _value(types_of[name], item) for name, item in plain.items()})


@lru_cache
def _types_of(kind: type) -> dict[str, Any]:
    return typing.get_type_hints(kind)


def _value(kind: Any, plain: Any) -> Any:
    if plain is None:
        return None
    origin, inner = typing.get_origin(kind), typing.get_args(kind)
    if origin in (types.UnionType, typing.Union):
        return _value(next(arm for arm in inner if arm is not types.NoneType), plain)
    if origin is tuple:
        return tuple(_value(inner[0], item) for item in plain)
    if origin is frozenset:
        return frozenset(plain)
    if origin is not None:  # a mapping
        return types.MappingProxyType({key: _value(inner[1], item) for key, item in plain.items()})
    return _single(kind, plain)


def _single(kind: Any, plain: Any) -> Any:
    if kind is Caution and isinstance(plain, str):  # a ledger of before cautions said what they are about
        return Caution(About.NOTE, "", plain)
    if issubclass(kind, Struct):
        return _record(kind, plain)
    if kind is date:
        return date.fromisoformat(plain)
    if kind is float or issubclass(kind, Enum):
        return kind(plain)
    return plain
