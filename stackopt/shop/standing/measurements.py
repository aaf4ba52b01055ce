"""What was measured on built engines and still stands, and the shop's own thicknesses that come out of it."""

from __future__ import annotations

import json
from collections.abc import Collection, Iterable, Iterator
from typing import Any

from sqlalchemy import Connection, Row, select

from stackopt.choose.built.as_built import thickness_measurement
from stackopt.choose.built.build import Chosen
from stackopt.parts.gauge import CommonOffset, common_offset
from stackopt.parts.learned import Measurement, OwnThickness, own_thicknesses
from stackopt.parts.part_records import Part
from stackopt.shop.database.lists import read_current
from stackopt.shop.database.tables import adopted, chosen, measured, part
from stackopt.shop.entries.recorded import read_as
from stackopt.shop.entries.rows import part_of
from stackopt.shop.standing.voided import void_measurements

# Thicknesses that differ by less, mm, are the same: they differ in how they were added up.
SAME_MM = 1e-6

Measurements = dict[tuple[str, str], Measurement]


def read_common_offset(connection: Connection) -> CommonOffset | None:
    """Return by how much all that was measured is off alike, learned from or not; None where it is not."""
    found = list(measurements(connection, learned_alone=False).values())
    return common_offset(parts_as_listed(connection, found), found)


def read_thicknesses(connection: Connection) -> tuple[dict[str, OwnThickness], CommonOffset | None]:
    """Return what `read_own_thicknesses` and `read_common_offset` return, from one reading of what was measured."""
    found = list(_standing(connection, void_measurements(connection)))
    every = list({cylinder: measurement for cylinder, _, measurement in found}.values())
    learned = {cylinder: measurement for cylinder, is_learned, measurement in found if is_learned}
    return _own(connection, learned), common_offset(parts_as_listed(connection, every), every)


def read_own_thicknesses(connection: Connection) -> dict[str, OwnThickness]:
    """Return the shop's own thickness of every part that was measured, by part number."""
    return _own(connection, measurements(connection))


def measurements(
    connection: Connection,
    *,
    learned_alone: bool = True,
    void: Collection[int] | None = None,
    before: int | None = None,
) -> Measurements:
    """Return what was measured by engine and cylinder; of a cylinder measured again, the newest counts.

    Parameters
    ----------
    connection
        The ledger.
    learned_alone
        Leave out what was not learned from.
    void
        The measuring events that do not stand; None: those that do not stand now.
    before
        Only what was measured before this event; None: everything.
    """
    void = void_measurements(connection) if void is None else void
    found = _standing(connection, void, before)
    return {cylinder: measurement for cylinder, learned, measurement in found if learned or not learned_alone}


def _standing(
    connection: Connection, void: Collection[int], before: int | None = None
) -> Iterator[tuple[tuple[str, str], bool, Measurement]]:
    """Yield what stands, in the order in which it was measured: its cylinder, whether it was learned from, itself."""
    choices = _choices_in_time(connection)
    # All cylinders of an engine go by one choice.
    read: dict[str, Chosen] = {}
    query = select(measured) if before is None else select(measured).where(measured.c.event < before)
    for row in connection.execute(query.order_by(measured.c.id)):
        if row.event not in void:
            record = max((event, text) for event, text in choices[row.engine] if event < row.event)[1]
            choice = read.get(record) or read.setdefault(record, read_as(Chosen, record))
            measurement = thickness_measurement(choice, row.cylinder, json.loads(row.places_mm))
            yield (row.engine, row.cylinder), row.learned, measurement


def adopted_on(connection: Connection, was_void: Collection[int], is_void: Collection[int]) -> list[OwnThickness]:
    """Return the adopted thicknesses that rest on a measurement which stood when it was adopted and stands no more.

    Parameters
    ----------
    connection
        The ledger.
    was_void, is_void
        The measuring events that did not stand before, and those that do not now.
    """
    gone = set(is_void) - set(was_void)
    measuring = connection.execute(select(measured.c.event)).scalars()
    if not gone.intersection(measuring):
        return []
    found = []
    for row in _gone_by(connection):
        stood = measurements(connection, void=was_void, before=row.event)
        stands = measurements(connection, void=is_void, before=row.event)
        was, now = (_own(connection, each).get(row.part) for each in (stood, stands))
        if was is not None and (now is None or abs(now.own_mm - was.own_mm) > SAME_MM):
            found.append(OwnThickness(row.part, row.listed_mm, row.own_mm, was.deviation_mm, row.measurements))
    return found


def _gone_by(connection: Connection) -> list[Row[Any]]:
    """Return the adopted thicknesses that the choice goes by: the part is listed as it was when they were adopted."""
    rows = read_current(connection, adopted)
    listed = read_current(connection, part, part.c.number.in_([row.part for row in rows]))
    listed_mm = {row.number: row.thickness_mm for row in listed}
    return [row for row in rows if listed_mm.get(row.part) == row.listed_mm]


def _own(connection: Connection, found: Measurements) -> dict[str, OwnThickness]:
    each = list(found.values())
    return own_thicknesses(parts_as_listed(connection, each), each) if each else {}


def _choices_in_time(connection: Connection) -> dict[str, list[tuple[int, str]]]:
    """Return the choices ever made for engines that were measured, with the events in which they were made."""
    choices: dict[str, list[tuple[int, str]]] = {}
    for row in connection.execute(select(chosen).where(chosen.c.engine.in_(select(measured.c.engine)))):
        choices.setdefault(row.engine, []).append((row.event, row.record))
    return choices


def parts_as_listed(connection: Connection, found: Iterable[Measurement]) -> dict[str, Part]:
    """Return the parts that were measured as they are listed now."""
    numbers = {number for each in found for number in each.pieces}
    return {row.number: part_of(row) for row in read_current(connection, part, part.c.number.in_(numbers))}
