"""The quench as built, and the shop's own thickness of a part, which the choice goes by once it is adopted."""

from __future__ import annotations

import json
from collections.abc import Collection, Sequence
from shlex import quote

from sqlalchemy import Connection, select

from stackopt.choose.built.as_built import thickness_measurement
from stackopt.choose.built.build import Chosen
from stackopt.parts.learned import OUTLIER_DEVIATIONS, OwnThickness, believe
from stackopt.shop.database.faults import refuse
from stackopt.shop.database.lists import listed, read_one
from stackopt.shop.database.note import Note
from stackopt.shop.database.tables import adopted, chosen, measured
from stackopt.shop.database.transactions import append, open_event
from stackopt.shop.entries.recorded import read_as
from stackopt.shop.standing.engines import balances_of_engine, check_open, needed_pieces
from stackopt.shop.standing.measurements import measurements, parts_as_listed, read_own_thicknesses
from stackopt.shop.standing.voided import void_measurements


def read_chosen(connection: Connection, engine: str) -> Chosen:
    """Return what was chosen for an engine.

    Raises
    ------
    InputError
        When nothing was.
    """
    row = read_one(connection, chosen, chosen.c.engine == engine)
    if row is None:
        mend = "Hold what is chosen for it first: stackopt fit ENGINE --hold"
        raise refuse("", engine, "an engine for which parts were held", mend)
    return read_as(Chosen, row.record)


def measure(connection: Connection, note: Note, engine: str, cylinder: str, places_mm: Sequence[float]) -> bool:
    """Write down the quench of one cylinder as built, mm at one or more places; return whether it is learned from.

    It is not where it lies more than four standard deviations from what the parts, as far as the shop knows them by
    now, should come to: then it is a mistake to look for.
    """
    check_open(connection, engine)
    what = read_chosen(connection, engine)
    names = [each.name for each in what.engine.cylinders]
    if cylinder not in names:
        raise refuse(engine, cylinder, "one of its cylinders: " + ", ".join(names))
    _check_fitted(connection, what, cylinder)
    new = thickness_measurement(what, cylinder, places_mm)
    earlier = [each for key, each in measurements(connection).items() if key != (engine, cylinder)]
    expected_mm, deviation_mm = believe(parts_as_listed(connection, [*earlier, new]), earlier, new.pieces).expected(new)
    learned = abs(new.thickness_mm - expected_mm) <= OUTLIER_DEVIATIONS * deviation_mm
    row = {
        "engine": engine,
        "cylinder": cylinder,
        "places_mm": json.dumps(list(places_mm)),
        "predicted_mm": what.fitted.cylinders[names.index(cylinder)].quench_mm,
        "expected_mm": sum(places_mm) / len(places_mm) - new.thickness_mm + expected_mm,
        "deviation_mm": deviation_mm,
        "learned": learned,
    }
    append(connection, measured, open_event(connection, "measure", note), [row])
    return learned


def _check_fitted(connection: Connection, what: Chosen, cylinder: str) -> None:
    """Refuse to measure a cylinder whose pieces did not go into the engine, or went into cylinders measured before."""
    engine, needed = what.engine.name, needed_pieces(what)
    fitted = {part: each.fitted for part, each in balances_of_engine(connection, engine).items() if each.fitted}
    if needed and not fitted:
        mend = f"Say first what went into it: stackopt shop use {quote(engine)}"
        raise refuse(engine, "nothing used in it", "an engine that parts went into", mend)
    cylinders = {name for _, name in _standing(connection, engine)} | {cylinder}
    own = {piece.part for each in what.fitted.cylinders if each.cylinder == cylinder for piece in each.pieces}
    short = [part for part in sorted(own & needed.keys()) if fitted.get(part, 0) < _pieces_in(what, part, cylinders)]
    if short:
        mend = f"Say what went into it: stackopt shop use {quote(engine)} --took {quote(f'{cylinder}=BASE+HEAD')}"
        found = f"no {' and no '.join(short)} in its {cylinder} cylinder"
        raise refuse(engine, found, "a cylinder that its pieces went into", mend)


def _pieces_in(what: Chosen, part: str, cylinders: Collection[str]) -> int:
    """Count the pieces of a part that these cylinders take; one that covers several is one."""
    taking = [each for each in what.fitted.cylinders if each.cylinder in cylinders]
    pieces = sum(piece.part == part for each in taking for piece in each.pieces)
    covers = next((each.covers for each in what.parts if each.number == part), 1)
    return min(pieces, 1) if covers > 1 else pieces


def _standing(connection: Connection, engine: str) -> list[tuple[int, str]]:
    """Return the measurements of an engine that stand, with their cylinders."""
    query = select(measured.c.event, measured.c.cylinder).where(measured.c.engine == engine)
    void = void_measurements(connection)
    return [(number, name) for number, name in connection.execute(query) if number not in void]


def adopt(connection: Connection, note: Note, number: str) -> OwnThickness:
    """Let the choice go by the shop's own thickness of a part from now on, in place of the listed one.

    Raises
    ------
    InputError
        When the part was never measured.
    """
    own = read_own_thicknesses(connection).get(number)
    if own is None:
        mend = "Measure an engine that it was built into: stackopt shop measure ENGINE CYLINDER"
        raise refuse("", number, "a part that was measured as built", mend)
    row = {"part": number, "listed_mm": own.listed_mm, "own_mm": own.own_mm, "measurements": own.measurements}
    append(connection, adopted, open_event(connection, "adopt", note), listed([row]))
    return own
