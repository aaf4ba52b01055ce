"""The card of an engine: to look at, to print, or as a PDF."""

from __future__ import annotations

import io

from flask import Blueprint, current_app, render_template, request, send_file, url_for
from werkzeug.wrappers import Response

from stackopt.report.card.html import card_part
from stackopt.report.card.pdf import SIZES, card_pdf
from stackopt.web.desk.room import room, units
from stackopt.web.desk.sheets import engine_sheet
from stackopt.web.gate.guard import LOOPBACK, host_name, outward_address

blueprint = Blueprint("card", __name__)


@blueprint.get("/engines/<path:name>/card")
def card(name: str) -> str:
    """Show the card of an engine."""
    sheet = engine_sheet(room().ledger, name, room().today(), units())
    return render_template("card.html", name=name, card=card_part(sheet, _address(name)), sizes=SIZES)


@blueprint.get("/engines/<path:name>/card.pdf")
def pdf(name: str) -> Response:
    """Give out the card of an engine as a PDF."""
    sheet = engine_sheet(room().ledger, name, room().today(), units())
    size = request.args.get("size", SIZES[0])
    packed = card_pdf(sheet, size if size in SIZES else SIZES[0], _address(name))
    return send_file(io.BytesIO(packed), mimetype="application/pdf", download_name=f"card {name}.pdf")


def _address(name: str) -> str:
    """Return where the engine's page is on the shop's network; empty where the page is on none.

    Who looks at it on the machine that serves it asks for an address that no telephone can open.
    """
    if host_name(request.host) not in LOOPBACK:
        return url_for("engines.engine", name=name, _external=True)
    outward = outward_address() if current_app.config["ON_NETWORK"] else set()
    _, colon, port = request.host.rpartition(":")
    path = url_for("engines.engine", name=name)
    return next((f"{request.scheme}://{address}{colon}{port}{path}" for address in outward), "")
