"""The passphrase of a page that is open to the shop's network: hashed, and guesses slowed down."""

from __future__ import annotations

import threading
import time

from flask import Blueprint, current_app, redirect, render_template, request, session, url_for
from msgspec import Struct, field
from werkzeug.security import check_password_hash
from werkzeug.wrappers import Response
from wtforms import Form, PasswordField

SIGNED_IN = "signed_in"
FREE_GUESSES = 5
WINDOW_SECONDS = 300.0

blueprint = Blueprint("sign_in", __name__)


class PassphraseForm(Form):
    """Asks for the passphrase; what was typed is never given out again."""

    passphrase = PasswordField("The passphrase of this shop", render_kw={"autocomplete": "current-password"})

    def refused(self, words: str) -> str:
        """Return its page with why nobody is let in."""
        self.passphrase.errors = [words]
        return render_template("sign_in.html", form=self)


class Guesses(Struct):
    """Wrong passphrases of late, by address they came from."""

    wrong: dict[str, list[float]] = field(default_factory=dict)
    lock: threading.Lock = field(default_factory=threading.Lock)

    def too_many(self, address: str) -> bool:
        """Tell whether an address, or all together, have guessed too often of late."""
        since = time.monotonic() - WINDOW_SECONDS
        with self.lock:
            self.wrong = {name: kept for name, times in self.wrong.items() if (kept := [t for t in times if t > since])}
            everyone = sum(map(len, self.wrong.values()))
            return len(self.wrong.get(address, ())) >= FREE_GUESSES or everyone >= 10 * FREE_GUESSES

    def note(self, address: str) -> None:
        """Keep in mind that an address guessed wrong."""
        with self.lock:
            self.wrong.setdefault(address, []).append(time.monotonic())


def passphrase_hash() -> str:
    """Return the hash that lets people in; empty where none is asked for."""
    return str(current_app.config["PASSPHRASE_HASH"])


def is_signed_in() -> bool:
    """Tell whether the browser may see the pages: it knows the passphrase that counts now, or none is asked for."""
    wanted = passphrase_hash()
    return not wanted or session.get(SIGNED_IN) == wanted[-16:]


@blueprint.route("/sign-in", methods=["GET", "POST"])
def sign_in() -> Response | tuple[str, int] | str:
    """Ask for the passphrase, and let in who knows it."""
    if request.method == "GET":
        return render_template("sign_in.html", form=PassphraseForm())
    form = PassphraseForm(request.form)
    guesses: Guesses = current_app.extensions["guesses"]
    address = request.remote_addr or ""
    if guesses.too_many(address):
        return form.refused("Too many wrong passphrases. Wait five minutes, then try again."), 429
    if not check_password_hash(passphrase_hash(), form.passphrase.data or ""):
        guesses.note(address)
        return form.refused("That is not the passphrase of this shop."), 403
    session[SIGNED_IN] = passphrase_hash()[-16:]
    session.permanent = True
    return redirect(url_for("board.board"))
