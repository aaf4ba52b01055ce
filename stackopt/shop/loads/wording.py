"""What differs between a book and the ledger, in the words of the trade rather than those of the tables."""

from __future__ import annotations

import json
from collections.abc import Iterator, Mapping
from datetime import date
from typing import Any

from stackopt.shop.entries.rows import tiers_of
from stackopt.units import money

SUBJECTS = {"kept_cells": "other columns of", "stock_sheet": "columns of", "branch_line": "stock line of"}
NAMES = {"tiers": "price", "families": "fits", "contents": "", "record": "", "cells": ""}
UNITS = {"_mm": "mm", "_mm2": "mm²", "_cc": "cm³", "_deg": "°"}


def subject_of(table: str) -> str:
    """Return what a row of a table is about."""
    return SUBJECTS.get(table, table)


def changed(before: Mapping[str, Any], after: Mapping[str, Any]) -> str:
    """Return what changed from the one to the other, both with the same names."""
    return ", ".join(words for name in after for words in _changes(name, before[name], after[name]))


MOST_DAYS = 3


def usage_words(before: Mapping[str, int], after: Mapping[str, int]) -> str:
    """Return what a usage sheet says anew, by day: the first and the last where they are many."""
    days = sorted(after)
    if len(days) <= MOST_DAYS:
        return ", ".join(f"{day} {before.get(day, 'none')} -> {after[day]}" for day in days)
    other = f", {len(before)} of them otherwise than before" if before else ""
    return f"{len(days)} days from {days[0]} to {days[-1]}, {sum(after.values())} pieces{other}"


def titles_of(columns: str) -> str:
    """Return the columns of a stock list, from their JSON text; those that mean nothing here apart."""
    looks = json.loads(columns)
    listed = looks["columns"] if isinstance(looks, dict) else looks
    unknown = [title for title, name, *_ in listed if not name]
    kept = f"; not understood, kept as they stand: {', '.join(unknown)}" if unknown else ""
    return ", ".join(title for title, *_ in listed) + kept


def _changes(name: str, before: Any, after: Any) -> Iterator[str]:
    if name in ("contents", "record", "cells"):
        olds, news = (dict(_leaves("", json.loads(text))) for text in (before, after))
        for path in dict.fromkeys([*olds, *news]):
            if olds.get(path) != news.get(path):
                yield _change(path, olds.get(path), news.get(path))
    else:
        yield _change(name, before, after)


def _leaves(path: str, plain: Any) -> Iterator[tuple[str, Any]]:
    """Yield each single fact of a record with the way to it; things in a list go by their names, or by their place."""
    if isinstance(plain, dict):
        for name, item in plain.items():
            yield from _leaves(f"{path} {name}".strip(), item)
    elif isinstance(plain, list) and any(isinstance(item, dict) for item in plain):
        for place, item in enumerate(plain, start=1):
            yield from _leaves(f"{path.removesuffix('s')} {item.get('name', place)}", item)
    else:
        yield path, plain


def _change(path: str, before: Any, after: Any) -> str:
    name = path.rpartition(" ")[2]
    ending = next((ending for ending in (*UNITS, "_cents") if name.endswith(ending)), "")
    unit = f" {UNITS[ending]}" if ending in UNITS else ""
    label = NAMES.get(path, path.removesuffix(ending)).replace("_", " ")
    return f"{label} {_shown(name, before)} -> {_shown(name, after)}{unit}".strip()


def _shown(name: str, value: Any) -> str:
    if value in (None, "", []):
        return "none"
    if name.endswith("_cents"):
        return money(value)
    if name == "tiers":
        return " and ".join(f"{money(tier.price_cents)} from {tier.from_packs}" for tier in tiers_of(value))
    if name == "families":
        return str(value).strip(";")
    return _plain(value)


def _plain(value: Any) -> str:
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, date):
        return value.isoformat()
    if isinstance(value, list):
        return ", ".join(map(_plain, value))
    return f"{value:g}" if isinstance(value, float) else str(value)
