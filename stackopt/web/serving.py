"""Runs the page: a small server of its own, on this machine alone or on the shop's network."""

from __future__ import annotations

import socket
from collections.abc import Callable

from msgspec.structs import replace
from waitress.server import create_server
from werkzeug.security import generate_password_hash

from stackopt.problems import InputError, Place, Problem
from stackopt.web.app import create_app
from stackopt.web.desk.ahead import Ahead
from stackopt.web.desk.solving import process_kind
from stackopt.web.gate.guard import is_loopback, names_of
from stackopt.web.gate.settings import read_settings, settings_file, write_settings

# Eight people with two pages each, a plan that is watched, a book that is being read: none waits for a thread.
THREADS = 32
LEAST_LETTERS = 8
# A request that sends its body slower than this is given up.
PATIENCE_SECONDS = 60


def keep_passphrase(ledger: str, passphrase: str) -> None:
    """Keep the hash of a passphrase in the shop's settings.

    Raises
    ------
    InputError
        When it is too short, or the settings cannot be written.
    """
    if len(passphrase.strip()) < LEAST_LETTERS:
        raise InputError(Problem(Place(item="passphrase"), "", f"a passphrase of {LEAST_LETTERS} letters or more"))
    file = settings_file(ledger)
    write_settings(file, replace(read_settings(file), passphrase_hash=generate_password_hash(passphrase)))


def serve(ledger: str, account: str, host: str, port: int, told: Callable[[str], None]) -> None:
    """Serve the page until it is ended; `told` hears where it is.

    Raises
    ------
    InputError
        When the address cannot be listened on, or the shop's settings cannot be read.
    """
    # The process that workers are made from starts before there are threads.
    process_kind()
    asked = "" if is_loopback(host) else read_settings(settings_file(ledger)).passphrase_hash
    app = create_app(ledger, account, hosts=names_of(host), passphrase_hash=asked)
    app.extensions["ahead"] = Ahead(app, app.extensions["room"])
    try:
        server = create_server(
            app,
            host=host,
            port=port,
            threads=THREADS,
            channel_timeout=PATIENCE_SECONDS,
            ident=None,
            clear_untrusted_proxy_headers=True,
        )
    except (OSError, socket.gaierror) as error:
        mend = "Name another with --port or --host; perhaps the page runs there already."
        raise InputError(Problem(Place(item=f"{host}:{port}"), error.strerror or "", "a free address", mend)) from None
    told(f"http://{_shown(host)}:{server.effective_port}/")
    server.run()


def _shown(host: str) -> str:
    if host in ("0.0.0.0", "::"):
        return socket.gethostname()
    return f"[{host}]" if ":" in host else host
