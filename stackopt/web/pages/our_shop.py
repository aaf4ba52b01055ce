"""Our shop: its name, address, customer numbers, units, people; who one is in this browser."""

from __future__ import annotations

from collections.abc import Mapping

from flask import Blueprint, render_template, request, session, url_for
from msgspec.structs import replace
from werkzeug.wrappers import Response

from stackopt.problems import InputError
from stackopt.stocking.filling import shops_policy
from stackopt.stocking.review_days import review_days
from stackopt.web.desk.room import inch_first, local_path, once, room, said, who
from stackopt.web.forms.page_form import PageForm
from stackopt.web.forms.press_forms import SHOP_UNITS, me_form, settings_form

blueprint = Blueprint("our_shop", __name__)
# How the fields of customer numbers begin.
NUMBER = "number "
MOST_NAME, MOST_ADDRESS = 200, 1000


@blueprint.get("/our-shop")
def our_shop() -> str:
    """Show what the shop says of itself."""
    return page()


def page(pressed: PageForm | None = None) -> str:
    """Return the page; `pressed` is the form that led here, with what is wrong with it."""
    form = pressed or _form(None)
    return render_template(
        "our_shop.html", form=form, problems=form.elsewhere, marked=bool(form.errors), numbers=NUMBER
    )


def _form(typed: Mapping[str, str] | None) -> PageForm:
    suppliers = sorted(room().ledger.supply().suppliers) if room().has_ledger else []
    settings = room().settings
    given = {
        **{name: getattr(settings, name) for name in ("name", "units", "address")},
        "people": "\n".join(settings.people),
        "review_days": str(shops_policy(room().shown).review_days),
        **{NUMBER + supplier: settings.customer_numbers.get(supplier, "") for supplier in suppliers},
    }
    return settings_form(suppliers, given, typed)


@blueprint.post("/our-shop")
def keep() -> Response | tuple[str, int]:
    """Keep what was typed."""
    form = _form(request.form)

    def act() -> str:
        _keep(form.check())
        said("Kept.", can_undo=False)
        return url_for("our_shop.our_shop")

    try:
        return once(act)
    except InputError as error:
        form.blame(error.problems)
        return page(form), 422


def _keep(form: PageForm) -> None:
    settings, days, units = room().settings, form["review_days"].said, form["units"].said
    numbers = {name.removeprefix(NUMBER): text for name, text in form.data.items() if name.startswith(NUMBER)}
    room().keep(
        replace(
            settings,
            name=form["name"].said[:MOST_NAME],
            address=(form["address"].data or "").strip()[:MOST_ADDRESS],
            customer_numbers={**settings.customer_numbers, **{name: text.strip() for name, text in numbers.items()}},
            units=units if units in SHOP_UNITS else settings.units,
            people=tuple(line.strip()[:80] for line in (form["people"].data or "").splitlines() if line.strip()),
        )
    )
    if days != shops_policy(room().shown).review_days:
        review_days(days, days, room().shown)


@blueprint.post("/me")
def me() -> Response:
    """Keep in this browser who one is, and which units come first."""

    def act() -> str:
        form = me_form(who(), inch_first=inch_first(), typed=request.form).check()
        if form["who"].said:
            session["who"] = form["who"].said[:80]
        if form["units"].said in SHOP_UNITS:
            session["units"] = form["units"].said
        session.permanent = True
        return local_path(request.form.get("back", ""), url_for("board.board"))

    return once(act)
