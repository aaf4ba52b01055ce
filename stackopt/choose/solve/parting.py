"""Jobs in groups that share no part."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from stackopt.choose.model.program import Job
from stackopt.parts.part_records import Supply
from stackopt.parts.sources import Source


def split_jobs(jobs: Sequence[Job], sources: Sequence[Source], supply: Supply) -> list[tuple[list[Job], list[Source]]]:
    """Return jobs in groups that share no part, each with the lines that bring its parts.

    Two parts are shared alike when one line or one kit brings both.
    """
    roots: dict[str, str] = {}
    for job in jobs:
        _join(roots, [f"job {job.engine.name}", *job.needs()])
    needed = set(roots)
    wanted = [source for source in sources if needed.intersection(source.pieces_per_pack)]
    for source in wanted:
        _join(roots, needed.intersection(source.pieces_per_pack))
    for kit in supply.kits.values():
        if supply.free(kit.number):
            _join(roots, sorted(needed.intersection(kit.contents)))
    groups: dict[str, tuple[list[Job], list[Source]]] = {}
    for job in jobs:
        groups.setdefault(_root(roots, f"job {job.engine.name}"), ([], []))[0].append(job)
    for source in wanted:
        groups[_root(roots, next(iter(needed.intersection(source.pieces_per_pack))))][1].append(source)
    return list(groups.values())


def _join(roots: dict[str, str], names: Iterable[str]) -> None:
    first = ""
    for name in names:
        root = _root(roots, name)
        first = first or root
        roots[root] = first


def _root(roots: dict[str, str], name: str) -> str:
    roots.setdefault(name, name)
    while roots[name] != name:
        roots[name] = roots[roots[name]]
        name = roots[name]
    return name
