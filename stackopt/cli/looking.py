"""Who looks at a ledger, and whether its shop knows him."""

from __future__ import annotations

import getpass
import os

import click

from stackopt.problems import InputError, Place, Problem
from stackopt.shop.database.rights import Person
from stackopt.shop.database.rights import check_may_look as check_known


def account_name() -> str:
    """Return the name of the account that runs the program.

    Raises
    ------
    InputError
        When the system does not know one.
    """
    try:
        return getpass.getuser()
    except (KeyError, OSError):
        raise InputError(Problem(Place(item="--who"), "", "a name", "Say who does it: --who NAME")) from None


def check_may_look(ledger: str, who: str = "") -> None:
    """Refuse to show a ledger to somebody whom its shop does not know; what is no ledger says so itself.

    Raises
    ------
    InputError
        Says who is known.
    """
    people = _people_of(ledger)
    if people:
        check_known(people, who or os.environ.get("STACKOPT_WHO", "").strip() or account_name())


def who_calls() -> str:
    """Return whom the command that runs was told by --who; empty where it was told nobody, or knows no such option."""
    context = click.get_current_context(silent=True)
    return str(context.params.get("who", "")) if context is not None else ""


def _people_of(ledger: str) -> tuple[Person, ...]:
    from stackopt.shop.glance import glance_at  # noqa: PLC0415 - not where books are read

    glance = glance_at(ledger)
    if glance is not None:
        return glance.people()
    from stackopt.shop.ledger import ledger_is_there, open_ledger  # noqa: PLC0415 - not where a glance will do

    return open_ledger(ledger).people() if ledger_is_there(ledger) else ()
