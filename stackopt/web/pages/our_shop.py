"""Our shop: its name, address, customer numbers, units, people; who one is in this browser."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from flask import Blueprint, render_template, request, session, url_for
from msgspec.structs import replace
from werkzeug.wrappers import Response

from stackopt.problems import InputError, Problem
from stackopt.stocking.filling import shops_policy
from stackopt.stocking.review_days import review_days
from stackopt.web.desk.room import local_path, once, room, said
from stackopt.web.pages.shelf import pieces

blueprint = Blueprint("our_shop", __name__)
UNITS = ("mm", "inch")


@blueprint.get("/our-shop")
def our_shop() -> str:
    """Show what the shop says of itself."""
    return page()


def page(problems: Sequence[Problem] = (), typed: Mapping[str, str] | None = None) -> str:
    """Return the page, with what is wrong with the press that led here."""
    suppliers = sorted(room().ledger.supply().suppliers) if room().has_ledger else []
    return render_template(
        "our_shop.html",
        settings=room().settings,
        review_days=shops_policy(room().shown).review_days,
        suppliers=suppliers,
        problems=problems,
        typed=typed or {},
        units=UNITS,
    )


@blueprint.post("/our-shop")
def keep() -> Response | tuple[str, int]:
    """Keep what was typed."""

    def act() -> str:
        form, settings = request.form, room().settings
        days = pieces("review_days", least=0)
        numbers = {
            name.removeprefix("number "): text.strip() for name, text in form.items() if name.startswith("number ")
        }
        room().keep(
            replace(
                settings,
                name=form.get("name", "").strip()[:200],
                address=form.get("address", "").strip()[:1000],
                customer_numbers={**settings.customer_numbers, **numbers},
                units=form.get("units", "") if form.get("units") in UNITS else settings.units,
                people=tuple(line.strip()[:80] for line in form.get("people", "").splitlines() if line.strip()),
            )
        )
        if days != shops_policy(room().shown).review_days:
            review_days(days, days, room().shown)
        said("Kept.", can_undo=False)
        return url_for("our_shop.our_shop")

    try:
        return once(act)
    except InputError as error:
        return page(error.problems, request.form), 422


@blueprint.post("/me")
def me() -> Response:
    """Keep in this browser who one is, and which units come first."""

    def act() -> str:
        name, units = request.form.get("who", "").strip()[:80], request.form.get("units", "")
        if name:
            session["who"] = name
        if units in UNITS:
            session["units"] = units
        session.permanent = True
        return local_path(request.form.get("back", ""), url_for("board.board"))

    return once(act)
