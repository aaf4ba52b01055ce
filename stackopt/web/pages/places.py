"""Between branches: what each has to send to another, what is on the way, and pieces sent with a press."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import groupby

from flask import Blueprint, render_template, request, url_for
from werkzeug.wrappers import Response

from stackopt.problems import InputError, Place, Problem
from stackopt.report.wording import written_date
from stackopt.shop.places.due import DueTransfer
from stackopt.shop.places.transfers import Sent, Wanted
from stackopt.web.desk.room import local_path, note, once, room, said
from stackopt.web.forms.page_form import PageForm
from stackopt.web.forms.press_forms import transfer_form
from stackopt.web.pages.shelf import part_page

blueprint = Blueprint("places", __name__)


@blueprint.get("/transfers")
def transfers() -> str:
    """Show what is to be sent and what is on the way."""
    return page()


def page(problems: Sequence[Problem] = ()) -> str:
    """Return the page between branches, with what is wrong with the press that led here."""
    ledger, today = room().ledger, room().today()
    branches = ledger.branches()
    due = sorted(ledger.due_transfers(), key=_ends)
    return render_template(
        "transfers.html",
        branches=branches,
        to_send=[(ends, list(own)) for ends, own in groupby(due, key=_ends)],
        under_way=[order for order in ledger.orders() if order.is_transfer and order.is_open],
        today=today,
        problems=problems,
    )


def _ends(each: DueTransfer) -> tuple[str, str]:
    return each.origin, each.destination


@blueprint.post("/transfers")
def send() -> Response | tuple[str, int]:
    """Send pieces of a part, or all that is due, from one branch to another."""
    part, form = request.form.get("part", ""), transfer_form(room().ledger.branches().names, request.form)
    try:
        return once(lambda: _sent(part, form))
    except InputError as error:
        form.blame(error.problems)
        # One part is sent from its own page.
        return (part_page(part, transfer=form) if part else page(error.problems)), 422


def _sent(part: str, form: PageForm) -> str:
    origin, destination = form["from"].said, form["to"].said
    if not origin or not destination:
        raise InputError(Problem(Place(item="branch"), "", "the branch that sends, and the one that gets it"))
    wanted = {part: form.check()["pieces"].said} if part else None
    sent = room().ledger.transfer(Wanted(wanted, origin, destination, room().today()), note())
    said(_words(sent, origin, destination))
    return local_path(request.form.get("back", ""), url_for("places.transfers"))


def _words(sent: Sent, origin: str, destination: str) -> str:
    named = ", ".join(f"{count} of {part}" for part, count in sent.pieces.items())
    whose = "".join(f", {count} of {part} for {engine}" for (engine, part), count in sorted(sent.promised.items()))
    return f"On the way from {origin} to {destination}: {named}{whose}; there on {written_date(sent.here_on)}."
