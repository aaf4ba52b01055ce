"""The engines in the ledger: which are open, and what each holds, waits for, has been given and still lacks."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Collection, Mapping

from msgspec import Struct
from msgspec.structs import replace
from sqlalchemy import Connection, func, or_, select

from stackopt.choose.built.build import Chosen
from stackopt.choose.stacks.needs import pieces_to_find
from stackopt.engine.engine_records import Engine
from stackopt.shop.database.acts import Balance
from stackopt.shop.database.faults import refuse
from stackopt.shop.database.lists import read_current, read_one
from stackopt.shop.database.tables import build, chosen, engine, event, movement, unfinished
from stackopt.shop.database.transactions import CoreSnapshot
from stackopt.shop.entries.agreement import check_sums_of_engines_agree
from stackopt.shop.entries.balances import sums_by, sums_by_part, sums_by_place
from stackopt.shop.entries.branches import MAIN, read_branches
from stackopt.shop.entries.recorded import read_as

# Commands after which an engine that nothing fitted may have a chance again.
BRINGS_PARTS = ("load", "receive", "count", "correct", "release", "return", "answer", "draft", "move", "transfer")


class OpenEngine(Struct, frozen=True):
    """An engine that is not closed.

    Parameters
    ----------
    engine
        As it was loaded last; as it was chosen for where it never was.
    loaded
        Some book listed it.
    chosen, chosen_by
        What was chosen for it last, and by whom; None and empty where nothing was.
    sums
        What it holds, waits for and has been given, by part number.
    lying
        The pieces that it holds, by part number and the branch where they lie.
    blocked
        By whom and when nothing was found to fit it, where nothing has happened since that could have changed that.
    """

    engine: Engine
    loaded: bool
    chosen: Chosen | None
    chosen_by: str
    sums: Mapping[str, Balance]
    lying: Mapping[tuple[str, str], int]
    blocked: str

    def pieces(self, measure: str) -> dict[str, int]:
        """Return one measure of its sums by part number, zeros left out."""
        found = {part: getattr(sums, measure) for part, sums in sorted(self.sums.items())}
        return {part: pieces for part, pieces in found.items() if pieces}

    @property
    def branch(self) -> str:
        """Where it is built, as entries call it: where it was chosen for last."""
        return MAIN if self.chosen is None else self.chosen.branch

    @property
    def elsewhere(self) -> dict[tuple[str, str], int]:
        """The pieces that it holds at other branches than its own, by part number and branch."""
        return {place: pieces for place, pieces in self.lying.items() if place[1] != self.branch}

    @property
    def is_begun(self) -> bool:
        """It holds pieces, waits for some, or was given some."""
        return any(each.held or each.promised or each.fitted for each in self.sums.values())

    @property
    def lacks(self) -> dict[str, int]:
        """Pieces of its choice that it neither holds nor waits for nor was given, by part number."""
        if self.chosen is None or not self.is_begun:
            return {}
        have = Counter({part: each.held + each.promised + each.fitted for part, each in self.sums.items()})
        return dict(sorted((needed_pieces(self.chosen) - have).items()))

    @property
    def is_to_plan(self) -> bool:
        """Nothing complete is chosen for it, and nothing was fitted in it."""
        return not any(each.fitted for each in self.sums.values()) and (not self.is_begun or bool(self.lacks))


def needed_pieces(chosen: Chosen) -> Counter[str]:
    """Count the pieces of each part that what was chosen takes off a shelf or an order."""
    found = pieces_to_find(chosen.engine, chosen.fitted, {part.number: part for part in chosen.parts})
    return Counter({number: pieces for number, pieces in found.items() if number not in plain_pieces(chosen)})


def plain_pieces(chosen: Chosen) -> frozenset[str]:
    """Return the pieces of which only the thickness is known: no list has them, and no shelf is counted for them."""
    return frozenset(part.number for part in chosen.parts if part.plain)


def balances_of_engine(connection: Connection, name: str) -> dict[str, Balance]:
    """Return what an engine holds, waits for and has been given, by part number."""
    return sums_by_part(connection, movement.c.engine == name)


def lying_for(connection: Connection, name: str) -> dict[tuple[str, str], int]:
    """Return the pieces that an engine holds, by part number and the branch where they lie."""
    sums = sums_by_place(connection, movement.c.engine == name)
    return {place: each.held for place, each in sums.items() if each.held}


def branch_of(connection: Connection, name: str) -> str:
    """Return where an engine is built, as entries call it: the main branch until it is chosen for elsewhere."""
    row = read_one(connection, chosen, chosen.c.engine == name)
    return MAIN if row is None else read_as(Chosen, row.record).branch


def promises_to(connection: Connection, engine: str) -> dict[tuple[int, str], int]:
    """Return the pieces that an engine waits for, by order and part number."""
    sums = sums_by(connection, [movement.c.purchase, movement.c.part], movement.c.engine == engine)
    return {(purchase, part): each.promised for (purchase, part), each in sums.items() if each.promised}


def check_open(connection: Connection, name: str) -> None:
    """Refuse to touch an engine whose build record is closed.

    Raises
    ------
    InputError
        When it is.
    """
    if connection.execute(select(build.c.id).where(build.c.engine == name)).first():
        mend = "A closed record never changes; give the new job a number of its own."
        raise refuse(name, "its build record is closed", "an engine that is still open", mend)


def known_engines(connection: Connection) -> tuple[Engine, ...]:
    """Return every engine that was ever loaded, as it was loaded last: finished ones too."""
    return tuple(read_as(Engine, row.record) for row in read_current(connection, engine))


def open_engines(connection: Connection) -> tuple[OpenEngine, ...]:
    """Return the engines that are not closed, in the order in which they were loaded."""
    is_open = select(build.c.engine)
    loaded = {row.name: row for row in read_current(connection, engine, engine.c.name.not_in(is_open))}
    picked = {row.engine: row for row in read_current(connection, chosen, chosen.c.engine.not_in(is_open))}
    check_sums_of_engines_agree(CoreSnapshot(connection), sorted(loaded.keys() | picked.keys()))
    lying = _sums_of(connection, loaded.keys() | picked.keys())
    stuck = _stuck(connection)
    notes = _notes(connection, {row.event for row in picked.values()} | set(stuck.values()))
    found = []
    for name in dict.fromkeys([*loaded, *picked]):
        choice = read_as(Chosen, picked[name].record) if name in picked else None
        record = read_as(Engine, loaded[name].record) if name in loaded else choice.engine  # type: ignore[union-attr]
        found.append(
            OpenEngine(
                engine=record,
                loaded=name in loaded,
                chosen=choice,
                chosen_by=notes[picked[name].event][0] if choice else "",
                sums=_by_part(lying[name]),
                lying={place: each.held for place, each in sorted(lying[name].items()) if each.held},
                blocked=" on ".join(notes[stuck[name]]) if name in stuck else "",
            )
        )
    return tuple(each for each in found if each.loaded or each.is_begun)


def unsettled_engines(connection: Connection, at: str = MAIN) -> tuple[Engine, ...]:
    """Return the engines that still have to be planned: nothing complete is held for them, on order for them or used.

    Those that keep pieces of a choice whose rest was cancelled come first: of pieces alike theirs are those here.
    One that keeps pieces for another branch than `at` is that branch's to plan.
    """
    branch = read_branches(CoreSnapshot(connection)).code(at)
    found = [each for each in open_engines(connection) if each.is_to_plan and _is_at(each, branch)]
    return tuple(each.engine for each in sorted(found, key=lambda each: not each.is_begun))


def _is_at(each: OpenEngine, branch: str) -> bool:
    return not each.is_begun or each.branch == branch


def lacking(connection: Connection, name: str) -> dict[str, int]:
    """Return the pieces of its choice that an engine neither has where it is built nor was given, by part number."""
    found = next((each for each in open_engines(connection) if each.engine.name == name), None)
    if found is None:
        return {}
    to_come = Counter(found.pieces("promised"))
    for (part, _), pieces in found.elsewhere.items():
        to_come[part] += pieces
    return dict(sorted((Counter(found.lacks) + to_come).items()))


def held_choices(connection: Connection, at: str = MAIN) -> tuple[Chosen, ...]:
    """Return what was chosen for the engines that hold pieces and could still get others, with these as loaded last.

    They are built at one branch, wait for no order, nothing has been used in them, and they are not closed.
    """
    branch = read_branches(CoreSnapshot(connection)).code(at)
    return tuple(
        replace(each.chosen, engine=each.engine)
        for each in open_engines(connection)
        if each.chosen is not None
        and each.branch == branch
        and each.pieces("held")
        and not each.pieces("promised")
        and not each.pieces("fitted")
    )


def _sums_of(connection: Connection, names: Collection[str]) -> dict[str, dict[tuple[str, str], Balance]]:
    """Return the sums of each engine by part number and branch."""
    sums: dict[str, dict[tuple[str, str], Balance]] = defaultdict(dict)
    keys = [movement.c.engine, movement.c.part, movement.c.branch]
    for (name, part, branch), each in sums_by(connection, keys, movement.c.engine.in_(sorted(names))).items():
        sums[name][part, branch] = each
    return sums


def _by_part(lying: Mapping[tuple[str, str], Balance]) -> dict[str, Balance]:
    sums: dict[str, Balance] = {}
    for (part, _), each in lying.items():
        sums[part] = sums.get(part, Balance()).plus(each)
    return sums


def _stuck(connection: Connection) -> dict[str, int]:
    """Return the engines that nothing fitted, with the event that found it, unless parts may have come since."""
    brought = or_(event.c.what.in_(BRINGS_PARTS), event.c.undoes.is_not(None))
    since = connection.execute(select(func.max(event.c.id)).where(brought)).scalar() or 0
    return {row.engine: row.event for row in read_current(connection, unfinished, unfinished.c.event > since)}


def _notes(connection: Connection, events: Collection[int]) -> dict[int, tuple[str, str]]:
    """Return who carried out each event, and when."""
    query = select(event.c.id, event.c.who, event.c.at).where(event.c.id.in_(sorted(events)))
    return {number: (who, at) for number, who, at in connection.execute(query)}
