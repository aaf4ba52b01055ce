"""What every page shares: the ledger, the shop's settings, the day, who presses, and that two presses are one."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date
from functools import cached_property
from pathlib import Path
from typing import cast

from flask import current_app, flash, redirect, request, session, url_for
from msgspec import Struct
from werkzeug.wrappers import Response

from stackopt.engine.cautions import Units
from stackopt.problems import InputError
from stackopt.shop.database.address import Address
from stackopt.shop.database.note import Note
from stackopt.shop.ledger import ledger_is_there, make_ledger
from stackopt.web.desk.presses import Presses
from stackopt.web.desk.remembered import RememberedLedger
from stackopt.web.gate.settings import ShopSettings, read_settings, settings_file, write_settings

# Of the number of a press: what is longer is none of ours.
MOST_LETTERS = 64


class Room(Struct, dict=True):
    """The shop behind the pages.

    Parameters
    ----------
    address
        Where the ledger lies, a path or URL.
    account
        Who presses where nobody has said.
    today
        Tells the day to count from.
    """

    address: str
    account: str
    today: Callable[[], date] = date.today

    @property
    def has_ledger(self) -> bool:
        """There is a ledger."""
        return "ledger" in self.__dict__ or ledger_is_there(self.address)

    @cached_property
    def ledger(self) -> RememberedLedger:
        """The ledger, opened once: it holds no connection between two commands."""
        return RememberedLedger(self.address)

    def made_ledger(self) -> RememberedLedger:
        """Return the ledger; an empty one is made where there is none."""
        if not self.has_ledger:
            make_ledger(self.address)
        return self.ledger

    @property
    def shown(self) -> str:
        """Where the ledger lies, or will: without a password."""
        return Address.read(self.address).shown

    @property
    def settings_path(self) -> Path:
        """Where the settings lie."""
        return settings_file(self.address)

    @property
    def settings(self) -> ShopSettings:
        """The shop's settings as they stand in their file."""
        return read_settings(self.settings_path)

    def keep(self, settings: ShopSettings) -> None:
        """Write the settings."""
        write_settings(self.settings_path, settings)

    @property
    def folder(self) -> Path:
        """Where dropped books and half-filled forms lie, beside the ledger; made when first asked for."""
        folder = Path(f"{self.settings_path.with_suffix('')}.files")
        folder.mkdir(mode=0o700, exist_ok=True)
        return folder


def room() -> Room:
    """Return the room of the app that answers this request."""
    return cast(Room, current_app.extensions["room"])


def who() -> str:
    """Return who presses, as chosen in this browser."""
    return str(session.get("who") or room().account)


def note(why: str = "") -> Note:
    """Return who presses and why, for the record."""
    return Note(who(), why or request.form.get("why", "").strip())


def inch_first() -> bool:
    """Tell whether this browser wants inches first."""
    return bool(session.get("units", room().settings.units) == "inch")


def units() -> Units:
    """Return the units of this browser."""
    return Units.INCH if inch_first() else Units.MM


def once(act: Callable[[], str]) -> Response:
    """Carry out a press and go where it leads; the same press sent again only goes there."""
    presses, number = cast(Presses, current_app.extensions["presses"]), request.form.get("press", "")[:MOST_LETTERS]
    # One at a time: the second of two presses waits for the first, and then finds where it led.
    with presses.lock:
        _take_up(presses)
        if not number:
            return redirect(act(), 303)
        if number not in presses.led_to:
            _carry_out(presses, number, act)
        return redirect(presses.led_to[number], 303)


def _carry_out(presses: Presses, number: str, act: Callable[[], str]) -> None:
    presses.begin(number, who(), newest_event())
    try:
        target = act()
    except InputError:
        presses.refuse(number)
        raise
    presses.end(number, target)


def _take_up(presses: Presses) -> None:
    """Settle what a page that was ended in the middle had begun: carried out where the ledger has a command of it."""
    for left in presses.read():
        events = room().ledger.events(newest_event() - left.since) if newest_event() > left.since else ()
        if any(event.who == left.who for event in events):
            presses.end(left.number, url_for("board.board"))
        else:
            presses.refuse(left.number)


def newest_event() -> int:
    """Return the number of the last command, 0 for none: what tells a browser that its page is old."""
    return room().ledger.state().event if room().has_ledger else 0


def said(words: str, *, can_undo: bool = True) -> None:
    """Say on the next page what happened, and offer to take it back where that can be done."""
    newest = newest_event() if can_undo else 0
    flash(words, f"event {newest}" if newest else "said")


def local_path(path: str, otherwise: str) -> str:
    """Return a path within this page, as a form gave it; another where it leads elsewhere."""
    is_local = path.startswith("/") and not path.startswith(("//", "/\\")) and "\n" not in path and "\r" not in path
    return path if is_local else otherwise
