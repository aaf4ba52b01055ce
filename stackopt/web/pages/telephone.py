"""The telephone list: whom to ring, what to say, and what was answered; an answer is an offer from then on."""

from __future__ import annotations

from collections.abc import Callable

from flask import Blueprint, request, url_for
from werkzeug.wrappers import Response

from stackopt.choose.asking import Refused
from stackopt.parts.part_records import ANY_FAMILY, Kind, Offer, Part, PriceTier
from stackopt.problems import InputError, Place, Problem
from stackopt.web.desk.room import note, once, room, said
from stackopt.web.forms.page_form import PageForm
from stackopt.web.forms.press_forms import offer_form, refusal_form
from stackopt.web.pages.orders import page as orders_page

blueprint = Blueprint("telephone", __name__)
KINDS = {kind.value: kind for kind in (Kind.BASE_GASKET, Kind.HEAD_GASKET, Kind.BASE_SHIM)}


@blueprint.post("/orders/answered")
def answered() -> Response | tuple[str, int]:
    """Write down what a supplier offers."""
    form = offer_form(f"call-{request.form.get('call', '')}", {}, request.form)

    def act() -> str:
        supplier, number = form.check()["supplier"].said, form["part"].said
        offer = Offer(
            supplier,
            number,
            (PriceTier(1, form["price"].said),),
            pack=form["pack"].said,
            lead_days=form["days"].said,
            special_order=True,
        )
        room().ledger.answered(_part(number, form), offer, note(), room().today())
        said(f"{supplier} offers {number}: an offer from now on, as a special order.")
        return url_for("orders.orders")

    return _acted(act, form)


@blueprint.post("/orders/does-not-make")
def does_not_make() -> Response | tuple[str, int]:
    """Write down that a supplier does not make it; he is not asked again."""
    form = refusal_form(request.form)

    def act() -> str:
        supplier = form.check()["supplier"].said
        refused = Refused(supplier, _kind(form), form["family"].data or "", form["thickness"].said or 0.0)
        room().ledger.does_not_make(refused, note())
        said(f"{supplier} does not make it, and is not asked for it again.")
        return url_for("orders.orders")

    return _acted(act, form)


def _acted(act: Callable[[], str], form: PageForm) -> Response | tuple[str, int]:
    try:
        return once(act)
    except InputError as error:
        form.blame(error.problems)
        return orders_page(form.elsewhere if "call" in form else form.problems, call=form), 422


def _part(number: str, form: PageForm) -> Part:
    """Return the part that was offered; one that is known stays what it is."""
    thickness_mm, opening_mm = form["thickness"].said, form["opening"].said
    known = room().ledger.supply(as_listed=True).parts.get(number)
    if known is not None:
        return Part(number, known.kind, known.families, thickness_mm or known.thickness_mm, opening_mm=opening_mm)
    if thickness_mm is None:
        raise InputError(Problem(Place(item="thickness"), "", "how thick it is, installed"))
    families = frozenset({(form["family"].data or "").strip() or ANY_FAMILY})
    return Part(number, _kind(form), families, thickness_mm, opening_mm=opening_mm)


def _kind(form: PageForm) -> Kind:
    text = form["kind"].data or ""
    if text not in KINDS:
        raise InputError(Problem(Place(item="kind"), text, f"one of {', '.join(KINDS)}"))
    return KINDS[text]
