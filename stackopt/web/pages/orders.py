"""Orders: what to order and why, drafts, what was sent and what came, what lies dead, whom to ring."""

from __future__ import annotations

import io
from collections.abc import Sequence
from datetime import timedelta

from flask import Blueprint, render_template, request, send_file, url_for
from msgspec import Struct
from msgspec.structs import replace
from werkzeug.wrappers import Response

from stackopt.choose.asking import Call
from stackopt.choose.choice_records import Order, OrderLine
from stackopt.choose.model.purchase import group_orders
from stackopt.parts.part_records import Supply
from stackopt.problems import InputError, Place, Problem
from stackopt.report.reorder.words import proof_words, runs_out_words, service_heading
from stackopt.report.wording import thickness
from stackopt.shop.standing.placed import PlacedOrder
from stackopt.web.desk.once_each import restock_answer, to_ring
from stackopt.web.desk.order_texts import order_sheet, order_text
from stackopt.web.desk.room import note, once, room, said
from stackopt.web.desk.writing import unit_first
from stackopt.web.forms.measured_pieces import measured_words, readings_of
from stackopt.web.forms.page_form import PageForm
from stackopt.web.forms.press_forms import offer_form, packs_form, receive_form

blueprint = Blueprint("orders", __name__)


@blueprint.get("/orders")
def orders() -> str:
    """Show what to order now, the orders that are open, whom to ring, and what lies dead."""
    return page()


def page(problems: Sequence[Problem] = (), packs: PageForm | None = None, call: PageForm | None = None) -> str:
    """Return the orders; `packs` and `call` are forms that led here, with what is wrong with them."""
    if not room().has_ledger:
        return render_template(
            "orders.html", answer=None, proposed=(), placed=(), parts={}, dead=(), calls=(), problems=problems
        )
    ledger, today = room().ledger, room().today()
    # What is read quickly comes first: a press during the long work below then leaves the page whole.
    supply, placed, _ = ledger.supply(), ledger.orders(every=False), ledger.refused()
    answer = restock_answer(ledger)
    proposed = [_proposed(order, number, supply, packs) for number, order in enumerate(answer.orders, start=1)]
    return render_template(
        "orders.html",
        answer=answer,
        proposed=proposed,
        to_order={line.part: line for line in answer.parts if line.order_quantity},
        runs_out=runs_out_words,
        service=answer.service,
        service_words=service_heading(answer.service) if answer.service else "",
        proof=proof_words(answer),
        today=today,
        waiting=[line for line in answer.parts if line.waits],
        dead=[(line, supply.unit_cost_cents(line.part) * line.free) for line in answer.parts if line.drop],
        placed=placed,
        here_on=lambda lead_days: today + timedelta(days=lead_days),
        late=[order for order in placed if is_late(order)],
        parts=supply.parts,
        calls=to_ring(ledger),
        runs=runs_of,
        marked=any(form.errors for form in (packs, call) if form and (form is packs or "call" in form)),
        call_form=lambda each, number: _call_form(each, number, call),
        problems=problems,
    )


def _call_form(call: Call, number: int, pressed: PageForm | None) -> PageForm:
    """Return the form of one call; the one that led here, where it is of this call."""
    if pressed is not None and "call" in pressed and pressed["call"].data == str(number):
        return pressed
    wanted = call.wanted
    opening = {"opening": f"{wanted.opening_mm:g}"} if wanted.opening_mm else {}
    asked = {"kind": wanted.kind.value, "family": wanted.family, "call": str(number)}
    return offer_form(
        f"call-{number}", {**asked, "supplier": call.supplier, "thickness": f"{wanted.best_mm:g}", **opening}
    )


def runs_of(call: Call) -> str:
    """Say which thicknesses would do."""
    return " or ".join(f"{thickness(low)} to {thickness(high)}" for low, high in call.wanted.thickness_mm)


def is_late(order: PlacedOrder) -> bool:
    """Tell whether something of a sent order should have been here by now."""
    today = room().today()
    days = [order.here_on(line, today) for line in order.lines if order.outstanding.get(line.part)]
    return any(day < today for day in days if day is not None)


class ProposedOrder(Struct, frozen=True):
    """An order as it is proposed, or in the packs that were typed instead; `before_cents` is what was proposed.

    `lacks_cents` is what is missing to the supplier's minimum order; `form` holds the packs.
    """

    order: Order
    before_cents: int
    form: PageForm
    lacks_cents: int = 0

    @property
    def is_changed(self) -> bool:
        """Other packs were typed, and they cost another sum."""
        return self.order.total_cents != self.before_cents


def _packs_of(order: Order) -> dict[str, int]:
    return {line.offer.part: line.packs for line in order.lines}


def _proposed(order: Order, number: int, supply: Supply, packs: PageForm | None) -> ProposedOrder:
    """Return an order in the packs that were typed for it, with the prices and the freight that these have."""
    if packs is None or request.form.get("supplier") != order.supplier:
        return ProposedOrder(order, order.total_cents, packs_form(_packs_of(order), f"{number}"))
    lines = [replace(line, packs=_packs_typed(line, packs)) for line in order.lines]
    bought = group_orders([line for line in lines if line.packs], supply)
    freight_cents = sum(each.freight_cents for each in bought)
    paid_cents = sum(line.line_cents for line in lines if line.packs)
    lacks_cents = max(0, supply.supplier(order.supplier).minimum_order_cents - paid_cents) if bought else 0
    return ProposedOrder(Order(order.supplier, freight_cents, tuple(lines)), order.total_cents, packs, lacks_cents)


def _packs_typed(line: OrderLine, packs: PageForm) -> int:
    """Return the packs that were typed for a line; what is no number of packs is reckoned as it was proposed."""
    name = f"packs {line.offer.part}"
    return int(packs[name].said) if name in packs and not packs[name].errors else line.packs


def _typed_packs() -> tuple[Order, PageForm]:
    """Return the order that is proposed to the supplier for whom packs were typed, and the form of these.

    Raises
    ------
    InputError
        When nothing is to be ordered from him.
    """
    supplier = request.form.get("supplier", "")
    for number, order in enumerate(restock_answer(room().ledger).orders, start=1):
        if order.supplier == supplier:
            return order, packs_form(_packs_of(order), f"{number}", request.form)
    again = "Look at what is to be ordered now."
    raise InputError(Problem(Place(), supplier, "a supplier from whom something is to be ordered", again))


@blueprint.post("/orders/cost")
def cost() -> str | tuple[str, int]:
    """Say what an order costs in the packs that were typed; nothing is written down."""
    form = None
    try:
        _, form = _typed_packs()
        return page(packs=form.check())
    except InputError as error:
        return page(() if form else error.problems, form), 422


@blueprint.post("/orders/draft")
def draft() -> Response | tuple[str, int]:
    """Write down as a draft what is to be ordered from one supplier, in the packs that were typed."""
    # Worked out before the press has its turn, in which others wait.
    restock_answer(room().ledger)
    form = None

    def act() -> str:
        nonlocal form
        order, form = _typed_packs()
        return _drafted(order, form)

    try:
        return once(act)
    except InputError as error:
        if form is None:
            return page(error.problems), 422
        form.blame(error.problems)
        return page(form.elsewhere, form), 422


def _drafted(order: Order, form: PageForm) -> str:
    form.check()
    lines = [replace(line, packs=_packs_typed(line, form)) for line in order.lines]
    kept = group_orders([line for line in lines if line.packs], room().ledger.supply())
    if not kept:
        raise InputError(Problem(Place(), "0 packs of everything", "at least one pack"))
    numbers = room().ledger.draft(kept, note())
    said(f"Order {numbers[0]} to {order.supplier} is drafted: look at it, then send it.")
    return url_for("orders.order", number=numbers[0])


def find_order(number: int) -> PlacedOrder:
    """Return one order.

    Raises
    ------
    InputError
        When there is none of that number.
    """
    for order in room().ledger.orders():
        if order.number == number:
            return order
    raise InputError(Problem(Place(), str(number), "the number of an order of this shop"))


@blueprint.get("/orders/<int:number>")
def order(number: int) -> str:
    """Show one order: to print, to paste into a mail, to send or to receive."""
    return order_page(number)


def order_page(number: int, problems: Sequence[Problem] = (), came: PageForm | None = None) -> str:
    """Return the page of an order; `came` is the form that led here, with what is wrong with it."""
    shown, ledger = find_order(number), room().ledger
    supply = ledger.supply()
    return render_template(
        "order.html",
        order=shown,
        parts=supply.parts,
        text=order_text(shown, supply.parts, room().settings, room().today()),
        day_of=lambda line: shown.here_on(line, room().today()),
        settings=room().settings,
        problems=problems,
        form=came or receive_form(shown.outstanding, unit_first()),
        marked=bool(came and came.errors),
    )


@blueprint.get("/orders/<int:number>/sheet")
def sheet(number: int) -> Response:
    """Give out an order as a spreadsheet."""
    shown = find_order(number)
    packed = order_sheet(shown, room().ledger.supply().parts, room().settings, room().today())
    name = f"order {number} {shown.supplier}.xlsx"
    return send_file(io.BytesIO(packed), as_attachment=True, download_name=name)


@blueprint.post("/orders/<int:number>/<act>")
def move(number: int, act: str) -> Response | tuple[str, int]:
    """Send, receive or cancel an order."""
    acts = {"send": _send, "receive": _receive, "cancel": _cancel}
    form = receive_form(find_order(number).outstanding, unit_first(), request.form if act == "receive" else None)
    try:
        if act not in acts:
            raise InputError(Problem(Place(), act, "send, receive or cancel"))
        return once(lambda: acts[act](number, form))
    except InputError as error:
        form.blame(error.problems)
        return order_page(number, form.elsewhere, form), 422


def _send(number: int, _: PageForm) -> str:
    room().ledger.send(number, note(), room().today())
    said(f"Order {number} is sent. When it is here, receive it on this page.")
    return url_for("orders.order", number=number)


def _receive(number: int, form: PageForm) -> str:
    form.check()
    arrived = {part: count for part in find_order(number).outstanding if (count := form[f"came {part}"].said)}
    if not arrived:
        raise InputError(Problem(Place(), "0 pieces of everything", "what came, in pieces"))
    readings_mm = readings_of(form, {part: f"measured {part}" for part in arrived}, room().ledger)
    arrival = room().ledger.receive(number, note(), arrived, readings_mm=readings_mm)
    held = [f"{count} of {part} held for {engine}" for (engine, part), count in arrival.held.items()]
    free = [f"{count} of {part} free on the shelf" for part, count in arrival.free.items()]
    said(" ".join([f"Order {number}: {', '.join(held + free)}.", *measured_words(readings_mm)]))
    return url_for("orders.order", number=number)


def _cancel(number: int, _: PageForm) -> str:
    waited = room().ledger.cancel(number, note())
    choose = f" Choose anew for {', '.join(waited)}." if waited else ""
    said(f"Order {number} is cancelled.{choose}")
    return url_for("orders.orders")
