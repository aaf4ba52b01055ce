"""The telephone list, for people and as JSON: whom to ring, what to say, what was said."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator
from itertools import groupby
from shlex import quote
from typing import Any

from stackopt.choose.asking import Call, ToAsk
from stackopt.report.plain import plain_number
from stackopt.report.wording import both_lengths, counted, thickness, written_date


def calls_document(calls: Iterable[Call]) -> list[dict[str, Any]]:
    """Return the calls; lengths in mm, days as 2027-02-12, supplier empty where no list tells who sells the like."""
    return [
        {
            "supplier": call.supplier,
            "kind": call.wanted.kind.value,
            "family": call.wanted.family,
            "thickness_mm": [[plain_number(low), plain_number(high)] for low, high in call.wanted.thickness_mm],
            "best_mm": plain_number(call.wanted.best_mm),
            "opening_mm": None if call.wanted.opening_mm is None else plain_number(call.wanted.opening_mm),
            "pieces": call.wanted.pieces,
            "by": call.wanted.by and call.wanted.by.isoformat(),
            "for": list(call.wanted.engines),
        }
        for call in calls
    ]


def calls_text(calls: Iterable[Call]) -> str:
    """Return the calls as text, those to one supplier together."""
    listed = list(calls)
    blocks = ["\n".join(_of_supplier(name, list(own))) for name, own in groupby(listed, key=lambda call: call.supplier)]
    times = Counter(engine for call in listed for engine in call.wanted.engines)
    several = ", ".join(sorted(engine for engine, number in times.items() if number > 1))
    blocks += [f"{several}: any one of these will do."] if several else []
    return "\n\n".join(blocks) or "Nothing to ask about: nothing that stands in no list would finish an engine."


def _of_supplier(supplier: str, calls: list[Call]) -> Iterator[str]:
    yield f"Ring {supplier}" if supplier else "Ring around: no list tells who sells the like, or all of them said no"
    for call in calls:
        yield from _words(call.wanted)
        yield f"    what is said: {_command(supplier, call.wanted)}"


def _words(wanted: ToAsk) -> Iterator[str]:
    opening = "" if wanted.opening_mm is None else f", opening {wanted.opening_mm:.1f} mm"
    yield f"  {counted(wanted.pieces, wanted.kind.value)} for family {wanted.family}{opening}"
    runs = " or ".join(f"{thickness(low)} to {thickness(high)}" for low, high in wanted.thickness_mm)
    yield f"    best {both_lengths(wanted.best_mm)}; {runs} would do"
    by = "" if wanted.by is None else f", here by {written_date(wanted.by)}"
    yield f"    for {', '.join(wanted.engines)}{by}"


def _command(supplier: str, wanted: ToAsk) -> str:
    opening = "" if wanted.opening_mm is None else f" --opening '{wanted.opening_mm:g} mm'"
    return (
        f"stackopt shop answered {quote(supplier) if supplier else 'SUPPLIER'} PART --kind '{wanted.kind}' "
        f"--fits {quote(wanted.family)} --thickness '{wanted.best_mm:g} mm'{opening} --price MONEY --days N"
    )
