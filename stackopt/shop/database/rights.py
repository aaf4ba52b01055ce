"""Who may do what: names that the shop knows, each with its rights. While it knows none, everybody may do everything.

Whoever can write the file, or knows the server's password, can call himself what he likes: this keeps people who mean
well from each other's work, and is no lock.
"""

from __future__ import annotations

from collections.abc import Iterable
from enum import StrEnum

from msgspec import Struct

from stackopt.shop.database.faults import STORED_NOTHING, refuse
from stackopt.shop.database.snapshot import Snapshot, current_rows

BETWEEN = ";"
UNDO = "undo "
HOW_TO_BEGIN = "stackopt shop who NAME take order undo settle"


class Right(StrEnum):
    """What somebody may do. Everybody whom the shop knows may look."""

    LOOK = "look"  # read everything
    TAKE = "take"  # hold, release, use, return, receive, measure, transfer, move
    ORDER = "order"  # draft, send, confirm, cancel, write down what was said on the telephone
    UNDO = "undo"  # take back what one may do oneself, whoever did it
    SETTLE = "settle"  # say what is true: load, count, correct, scrap, adopt, close, and who may do what


RIGHT_OF: dict[str, Right] = {
    **dict.fromkeys(("hold", "plan", "release", "use", "return", "receive", "measure", "transfer", "move"), Right.TAKE),
    **dict.fromkeys(("draft", "send", "confirm", "cancel", "answer"), Right.ORDER),
}


class Person(Struct, frozen=True):
    """Somebody whom the shop knows, and what he may do beside looking."""

    name: str
    rights: frozenset[Right] = frozenset()

    @property
    def words(self) -> str:
        """What he may do: ``look, take and order``."""
        *first, last = [right.value for right in Right if right is Right.LOOK or right in self.rights]
        return f"{', '.join(first)} and {last}" if first else last


def read_people(snapshot: Snapshot) -> tuple[Person, ...]:
    """Return whom the shop knows, by name; nobody where everybody may do everything."""
    rows = current_rows(snapshot, "person", ("name", "rights"))
    return tuple(sorted((Person(row.name, _rights(row.rights)) for row in rows), key=lambda person: person.name))


def _rights(written: str) -> frozenset[Right]:
    return frozenset(Right(each) for each in written.split(BETWEEN) if each)


def rights_text(rights: Iterable[Right]) -> str:
    """Return rights as they are stored."""
    return BETWEEN.join(right.value for right in Right if right in rights and right is not Right.LOOK)


def check_may(snapshot: Snapshot, who: str, what: str) -> None:
    """Refuse a command of somebody who may not give it.

    Raises
    ------
    InputError
        Says what he may do, and who may do this.
    """
    people = read_people(snapshot)
    for right in _needed(what):
        _check(people, who, what, right)


def check_may_look(people: tuple[Person, ...], who: str) -> None:
    """Refuse to show anything to somebody whom the shop does not know; raises as `check_may`."""
    _check(people, who, Right.LOOK.value, Right.LOOK)


def _needed(what: str) -> tuple[Right, ...]:
    """Return what a command needs; one that is taken back needs its own right as well."""
    if what.startswith(UNDO):
        return (Right.UNDO, *_needed(what.removeprefix(UNDO)))
    return (RIGHT_OF.get(what, Right.SETTLE),)


def _check(people: tuple[Person, ...], who: str, what: str, right: Right) -> None:
    known = {person.name: person for person in people}
    if not people or (who in known and (right is Right.LOOK or right in known[who].rights)):
        return
    if who not in known:
        mend = f"The shop knows {', '.join(known)}: say who you are, --who NAME or STACKOPT_WHO."
        stored = "" if right is Right.LOOK else STORED_NOTHING
        raise refuse(who, what, "somebody whom the shop knows", f"{stored}{mend}")
    may = [person.name for person in people if right in person.rights]
    settle = [person.name for person in people if Right.SETTLE in person.rights]
    given = " ".join(each.value for each in Right if each in known[who].rights or each is right)
    mend = f"{who} may {known[who].words}. Ask {' or '.join(may or settle)}; or have {' or '.join(settle)} allow it: "
    raise refuse(who, what, f"somebody who may {right}", f"{STORED_NOTHING}{mend}stackopt shop who {who} {given}")
