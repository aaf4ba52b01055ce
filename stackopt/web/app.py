"""The application: its pages, its guard, how it writes measures, and what it says when something is wrong."""

from __future__ import annotations

from collections.abc import Callable, Collection
from datetime import date, timedelta
from typing import Any

from flask import Flask, current_app, redirect, render_template, request
from werkzeug.exceptions import HTTPException
from werkzeug.wrappers import Response

from stackopt.problems import InputError
from stackopt.shop.database.rights import check_may_look
from stackopt.web.desk.presses import Presses
from stackopt.web.desk.remembered import in_turns
from stackopt.web.desk.room import Room, inch_first, newest_event, who
from stackopt.web.desk.writing import FILTERS
from stackopt.web.forms.press_forms import me_form
from stackopt.web.gate import sign_in
from stackopt.web.gate.guard import LOOPBACK, guard
from stackopt.web.gate.settings import ShopSettings
from stackopt.web.gate.sign_in import is_signed_in
from stackopt.web.pages import bench, board, card, dropped, engines, guide, orders, our_shop, places, shelf, telephone

# Pages that belong to a place without standing in the row of places.
STANDS_WITH = {"engines": "bench", "card": "bench", "dropped": "shelf", "telephone": "orders"}
MOST_BYTES = 20 * 1024 * 1024
MOST_FORM_BYTES = 512 * 1024
MOST_FIELDS = 2000
SIGNED_IN_DAYS = 30
PLACES = (
    ("Board", "board.board"),
    ("Bench", "bench.bench"),
    ("Shelf", "shelf.shelf"),
    ("Orders", "orders.orders"),
    ("Guide", "guide.guide"),
    ("Our shop", "our_shop.our_shop"),
)
WHAT_WENT_WRONG = {
    404: "There is no such page. What you look for may have another name by now.",
    405: "That cannot be done with this address.",
    413: "That is larger than this page takes: a spreadsheet may have 20 MB.",
    500: "The program met a fault of its own. Nothing of your press was stored by halves. Tell whoever looks after it.",
}


class ShopPage(Flask):
    """The application: each page that it gives is made from one state of the ledger."""

    def dispatch_request(self) -> Any:
        """Make the page that is asked for, anew where somebody pressed meanwhile."""
        return in_turns(super().dispatch_request)


def create_app(
    ledger: str,
    account: str,
    *,
    hosts: Collection[str] = LOOPBACK,
    passphrase_hash: str = "",
    today: Callable[[], date] = date.today,
) -> Flask:
    """Return the application on a ledger.

    Parameters
    ----------
    ledger
        Its path or URL; where there is none yet, the page helps to begin one.
    account
        Who is put on record where nobody says who he is.
    hosts
        The names it answers to.
    passphrase_hash
        Of the passphrase it asks for; empty for none.
    today
        Tells the day to count from.

    Raises
    ------
    InputError
        When the shop's settings cannot be read or written.
    """
    app = ShopPage(__name__)
    room = Room(ledger, account, today)
    settings = room.settings
    if not room.settings_path.exists():
        room.keep(settings)
    app.config.update(_config(settings, passphrase_hash), ON_NETWORK=not set(hosts) <= LOOPBACK)
    app.extensions["room"] = room
    app.extensions["presses"] = Presses(lambda: room.folder)
    app.extensions["guesses"] = sign_in.Guesses()
    app.jinja_env.filters.update(FILTERS)
    app.jinja_env.trim_blocks = app.jinja_env.lstrip_blocks = True
    guard(app, hosts)
    for page in (sign_in, board, bench, engines, card, shelf, dropped, orders, places, telephone, guide, our_shop):
        app.register_blueprint(page.blueprint)
    _share(app, room)
    _let_known_look(app, room)
    _say_what_is_wrong(app)
    return app


# Where somebody says who he is, and what shows nothing of the shop.
OPEN_TO_STRANGERS = ("", "our_shop", "sign_in", "guide")


def _config(settings: ShopSettings, passphrase_hash: str) -> dict[str, Any]:
    return {
        "SECRET_KEY": settings.secret,
        "PASSPHRASE_HASH": passphrase_hash,
        "MAX_CONTENT_LENGTH": MOST_BYTES,
        "MAX_FORM_MEMORY_SIZE": MOST_FORM_BYTES,
        "MAX_FORM_PARTS": MOST_FIELDS,
        "SESSION_COOKIE_NAME": "stackopt",
        "SESSION_COOKIE_HTTPONLY": True,
        "SESSION_COOKIE_SAMESITE": "Lax",
        "PERMANENT_SESSION_LIFETIME": timedelta(days=SIGNED_IN_DAYS),
    }


def _share(app: Flask, room: Room) -> None:
    @app.context_processor
    def shared() -> dict[str, Any]:
        """Give every page where it stands, who looks at it, and the shop's name."""
        here = (request.endpoint or "").partition(".")[0]
        here = STANDS_WITH.get(here, here)
        settings, newest = room.settings, newest_event()
        ahead = app.extensions.get("ahead")
        if ahead is not None and newest:
            ahead.wake(newest)
        return {
            "places": [(name, endpoint, endpoint.partition(".")[0] == here) for name, endpoint in PLACES],
            "who": who(),
            "me": me_form(who(), inch_first=inch_first()),
            "people": [*settings.people, *(name for name in _known(room) if name not in settings.people)],
            "shop_name": settings.name,
            "inch_first": inch_first(),
            "today": room.today(),
            "newest_event": newest,
        }


def _known(room: Room) -> list[str]:
    return [person.name for person in room.ledger.people()] if room.has_ledger else []


def _let_known_look(app: Flask, room: Room) -> None:
    @app.before_request
    def check_known() -> None:
        """Show what the shop keeps to nobody whom it does not know; who one is can be said on any page."""
        here = (request.endpoint or "").rpartition(".")[0]
        if here not in OPEN_TO_STRANGERS and is_signed_in() and room.has_ledger:
            check_may_look(room.ledger.people(), who())


def _say_what_is_wrong(app: Flask) -> None:
    @app.errorhandler(InputError)
    def wrong_input(error: InputError) -> tuple[str, int] | Response:
        if request.method == "GET" and _is_a_press():
            return _one_step_up()
        # What is only looked at is not there; what is pressed is refused.
        return render_template("problems.html", problems=error.problems), 404 if request.method == "GET" else 422

    @app.errorhandler(HTTPException)
    def refused(error: HTTPException) -> tuple[str, int] | Response:
        if error.code == 405 and request.method == "GET":
            return _one_step_up()
        code = error.code or 500
        words = WHAT_WENT_WRONG.get(code) or error.description or ""
        return render_template("error.html", code=code, words=words), code


def _is_a_press() -> bool:
    """Tell whether the address asked for is one that a form is sent to: what a refused press leaves in a browser."""
    try:
        endpoint, _ = current_app.create_url_adapter(request).match(request.path, method="POST")  # type: ignore[union-attr]
    except HTTPException:
        return False
    return bool(endpoint != request.endpoint)


def _one_step_up() -> Response:
    """Lead from the address of a press to its page."""
    return redirect(request.path.rpartition("/")[0] or "/")
