"""What every request must pass: the address asked for is ours, forms are ours, and the browser may do little else."""

from __future__ import annotations

import hmac
import ipaddress
import secrets
import socket
from collections.abc import Collection
from urllib.parse import urlsplit

from flask import Flask, Response, abort, redirect, request, session, url_for
from markupsafe import Markup
from werkzeug.wrappers import Response as AnyResponse

from stackopt.web.gate.sign_in import is_signed_in

LOOPBACK = frozenset({"localhost", "127.0.0.1", "::1"})
OPEN_TO_ALL = frozenset({"sign_in.sign_in", "static"})
CSRF = "csrf"
HEADERS = {
    "Content-Security-Policy": (
        "default-src 'none'; style-src 'self'; script-src 'self'; img-src 'self' data:; connect-src 'self'; "
        "form-action 'self'; frame-ancestors 'none'; base-uri 'none'"
    ),
    "X-Content-Type-Options": "nosniff",
    "X-Frame-Options": "DENY",
    "Referrer-Policy": "same-origin",
    "Cross-Origin-Opener-Policy": "same-origin",
    "Permissions-Policy": "camera=(), microphone=(), geolocation=()",
}


def guard(app: Flask, hosts: Collection[str]) -> None:
    """Let an app refuse foreign addresses and forms; `hosts` are the names it answers to."""
    known = frozenset(host.casefold() for host in hosts)

    @app.before_request
    def check() -> AnyResponse | None:
        if host_name(request.host) not in known:
            abort(403, "This page does not answer to that address.")
        if not is_signed_in() and request.endpoint not in OPEN_TO_ALL:
            return redirect(url_for("sign_in.sign_in"))
        if request.method not in ("GET", "HEAD", "OPTIONS"):
            check_form(known)
        return None

    @app.after_request
    def protect(response: Response) -> Response:
        response.headers.update(HEADERS)
        if request.endpoint != "static":
            response.headers["Cache-Control"] = "no-store"
        return response

    app.jinja_env.globals["form_marks"] = form_marks


def host_name(host: str) -> str:
    """Return the name or address in a Host header, without its port: ``shop.local`` of ``shop.local:8040``."""
    return (urlsplit(f"//{host}").hostname or "").casefold()


def check_form(known: Collection[str]) -> None:
    """Refuse a form that another page gave out, or that is not from this browser."""
    origin = request.headers.get("Origin")
    if origin is not None and (urlsplit(origin).hostname or "").casefold() not in known:
        abort(403, "This form comes from another page.")
    wanted, given = session.get(CSRF, ""), request.form.get(CSRF, "")
    if not wanted or not hmac.compare_digest(wanted.encode(), given.encode()):
        abort(
            400, "This form was given out to another browser, or long ago. Go back, load the page again, and send it."
        )


def form_marks() -> Markup:
    """Return the hidden fields of every form: that it is this browser's, and a number that makes two presses one."""
    token = session.setdefault(CSRF, secrets.token_urlsafe(24))
    pressed = secrets.token_urlsafe(12)
    return Markup('<input type="hidden" name="csrf" value="{}"><input type="hidden" name="press" value="{}">').format(
        token, pressed
    )


def is_loopback(host: str) -> bool:
    """Tell whether an address is that of this machine to itself."""
    try:
        return host.casefold() == "localhost" or ipaddress.ip_address(host).is_loopback
    except ValueError:
        return False


def names_of(host: str) -> frozenset[str]:
    """Return the names by which a page that listens on an address may be asked for."""
    if is_loopback(host):
        return LOOPBACK | {host}
    here = socket.gethostname()
    names = {host, here, f"{here}.local", *LOOPBACK}
    try:
        addresses = socket.getaddrinfo(here, None)
    except OSError:
        addresses = []
    return frozenset(names | {str(address[4][0]).partition("%")[0] for address in addresses} | outward_address())


def outward_address() -> set[str]:
    """Return the address of this machine on the network; empty where it is on none. Nothing is sent."""
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as probe:
        try:
            # An address set aside for documentation (RFC 5737): connecting a datagram socket only looks up the way.
            probe.connect(("192.0.2.1", 9))
        except OSError:
            return set()
        return {str(probe.getsockname()[0])}
