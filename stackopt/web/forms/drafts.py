"""What was typed for an engine, kept beside the ledger, so that its readings can be taken up again as they were."""

from __future__ import annotations

import hashlib
from collections.abc import Mapping
from pathlib import Path

import msgspec
from msgspec import Struct

from stackopt.engine.engine_records import Engine
from stackopt.web.desk.room import room

# What a form carries besides what was typed.
NOT_TYPED = frozenset({"csrf", "press", "known", "named"})


class Draft(Struct, frozen=True):
    """What was typed, and what was read from it: where the ledger holds another engine by now, the draft is void."""

    typed: dict[str, str]
    read_as: str


def keep_draft(engine: Engine, form: Mapping[str, str]) -> None:
    """Keep what was typed for an engine."""
    typed = {key: text for key, text in form.items() if key not in NOT_TYPED}
    _file(engine.name).write_bytes(msgspec.json.encode(Draft({**typed, "engine": engine.name}, repr(engine))))


def read_draft(name: str, engine: Engine) -> dict[str, str] | None:
    """Return what was typed for an engine as it stands in the ledger; None where there is nothing or it has changed."""
    try:
        draft = msgspec.json.decode(_file(name).read_bytes(), type=Draft)
    except (OSError, msgspec.DecodeError):
        return None
    return draft.typed if draft.read_as == repr(engine) else None


def _file(name: str) -> Path:
    # A name may hold what no file name can.
    return room().folder / f"{hashlib.sha256(name.encode()).hexdigest()[:32]}.json"
