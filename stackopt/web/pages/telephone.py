"""The telephone list: whom to ring, what to say, and what was answered; an answer is an offer from then on."""

from __future__ import annotations

from collections.abc import Callable

from flask import Blueprint, request, url_for
from werkzeug.wrappers import Response

from stackopt.books.engine_text import values
from stackopt.choose.asking import Refused
from stackopt.parts.records import ANY_FAMILY, Kind, Offer, Part, PriceTier
from stackopt.problems import InputError, Place, Problem, UnreadableError
from stackopt.units import cents
from stackopt.web.desk.room import note, once, room, said
from stackopt.web.forms.engine_form import typed
from stackopt.web.pages.orders import page as orders_page
from stackopt.web.pages.shelf import pieces

blueprint = Blueprint("telephone", __name__)
MOST_DAYS = 3650
KINDS = {kind.value: kind for kind in (Kind.BASE_GASKET, Kind.HEAD_GASKET, Kind.BASE_SHIM)}


@blueprint.post("/orders/answered")
def answered() -> Response | tuple[str, int]:
    """Write down what a supplier offers."""

    def act() -> str:
        number, supplier = _needed("part", "the number of the part, theirs or ours"), _needed("supplier", "who said so")
        price_cents, days = _price_cents(), pieces("days", least=0)
        if days > MOST_DAYS:
            raise InputError(Problem(Place(item="days"), str(days), f"days until it is here, at most {MOST_DAYS}"))
        offer = Offer(
            supplier, number, (PriceTier(1, price_cents),), pack=pieces("pack"), lead_days=days, special_order=True
        )
        room().ledger.answered(_part(number), offer, note(), room().today())
        said(f"{supplier} offers {number}: an offer from now on, as a special order.")
        return url_for("orders.orders")

    return _acted(act)


@blueprint.post("/orders/does-not-make")
def does_not_make() -> Response | tuple[str, int]:
    """Write down that a supplier does not make it; he is not asked again."""

    def act() -> str:
        supplier = _needed("supplier", "who said so")
        refused = Refused(
            supplier, _kind(), request.form.get("family", ""), _length("thickness", "gasket thickness") or 0.0
        )
        room().ledger.does_not_make(refused, note())
        said(f"{supplier} does not make it, and is not asked for it again.")
        return url_for("orders.orders")

    return _acted(act)


def _acted(act: Callable[[], str]) -> Response | tuple[str, int]:
    try:
        return once(act)
    except InputError as error:
        return orders_page(error.problems, request.form), 422


def _part(number: str) -> Part:
    """Return the part that was offered; one that is known stays what it is."""
    thickness_mm, opening_mm = _length("thickness", "gasket thickness"), _length("opening", "bore")
    known = room().ledger.supply(as_listed=True).parts.get(number)
    if known is not None:
        return Part(number, known.kind, known.families, thickness_mm or known.thickness_mm, opening_mm=opening_mm)
    if thickness_mm is None:
        raise InputError(Problem(Place(item="thickness"), "", "how thick it is, installed"))
    families = frozenset({request.form.get("family", "").strip() or ANY_FAMILY})
    return Part(number, _kind(), families, thickness_mm, opening_mm=opening_mm)


def _kind() -> Kind:
    text = request.form.get("kind", "")
    if text not in KINDS:
        raise InputError(Problem(Place(item="kind"), text, f"one of {', '.join(KINDS)}"))
    return KINDS[text]


def _needed(field: str, expected: str) -> str:
    text = request.form.get(field, "").strip()
    if not text or len(text) > 120:
        raise InputError(Problem(Place(item=field), text[:40], expected))
    return text


def _price_cents() -> int:
    text = request.form.get("price", "").strip()
    try:
        price_cents = cents(text, "," if "," in text and "." not in text else ".")
    except UnreadableError as error:
        raise InputError(error.at(Place(item="price"))) from None
    if price_cents <= 0:
        raise InputError(Problem(Place(item="price"), text, "what a pack costs, above 0"))
    return price_cents


def _length(field: str, measure: str) -> float | None:
    problems: list[Problem] = []
    text = typed(request.form.get(field, ""), request.form.get("unit", "mm"), field, problems)
    if problems:
        raise InputError(*problems)
    try:
        return values.length(measure)(text) if text else None
    except UnreadableError as error:
        raise InputError(error.at(Place(item=field))) from None
