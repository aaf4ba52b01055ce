"""The forms of single presses: on the shelf, on orders, at an engine, on the telephone, in the shop's own settings."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from datetime import date
from typing import Any

from wtforms import HiddenField, TextAreaField

from stackopt.problems import UnreadableError
from stackopt.web.forms.fields import (
    DayField,
    LengthField,
    NeededField,
    PickedField,
    PiecesField,
    PriceField,
    TypedField,
    with_unit,
)
from stackopt.web.forms.measured_pieces import SURE, measured_field, sure_field
from stackopt.web.forms.page_form import PageForm

Typed = Mapping[str, str] | None
MOST_PIECES_APART = -1_000_000
MOST_DAYS = 3650
PLACES_OF_A_BAND = 4
UNITS, SHOP_UNITS = ("mm", "in", "thou"), ("mm", "inch")
# What may be done to pieces of a part: what its number says, and the button.
MOVES = {
    "count": ("Counted on the shelf, held ones too", "Count"),
    "bring-in": ("Came without an order", "Receive"),
    "scrap": ("No longer good", "Scrap"),
    "correct": ("Difference, as +1 or -1", "Correct"),
    "carry": ("Pieces to another bin", "Carry"),
}


class ReasonField(TypedField):
    """Why something is corrected: a correction cannot do without."""

    def read(self, form: Any) -> str:
        """Return the reason."""
        reason = str(super().read(form))
        if not reason:
            raise UnreadableError("", "what went wrong: a correction needs its reason")
        return reason


class DueField(DayField):
    """The day on which parts are due; None where none is said."""

    def read(self, form: Any) -> date | None:
        """Return the day."""
        text = super().read(form)
        try:
            return date.fromisoformat(text) if text else None
        except ValueError:
            raise UnreadableError(text, "a date, as 2027-02-12") from None


class PlacesField(LengthField):
    """The quench at several places of the band, an input each; at least one is filled in."""

    def read(self, form: Any) -> Any:
        """Return what was measured, mm, place by place."""
        texts = [with_unit(text, self.unit_in(form)) for text in self.typed_at if text.strip()]
        if not texts:
            raise UnreadableError("", "the quench at one place of the band or more")
        return tuple(map(self.length_mm, texts))

    @property
    def typed_at(self) -> Sequence[str]:
        """What is typed at each place."""
        typed = list(self.raw_data or ())
        return [*typed, *[""] * (PLACES_OF_A_BAND - len(typed))]


def move_form(act: str, branches: Sequence[str], unit: str, typed: Typed = None) -> PageForm:
    """Return the form of a move of pieces; `branches` are picked from where there are several."""
    least = {"count": 0, "correct": MOST_PIECES_APART}.get(act, 1)
    fields: dict[str, Any] = {"pieces": PiecesField(MOVES[act][0], least=least)}
    if act == "bring-in":
        fields |= {"measured": measured_field(unit), SURE: sure_field()}
    if act == "correct":
        fields["why"] = ReasonField("What went wrong")
    if act == "carry":
        fields |= {name: TypedField(f"{name.title()} bin (empty: the stock list's)") for name in ("from", "to")}
    if branches:
        fields["at"] = PickedField("At", branches)
    return PageForm(fields, typed, ids=act)


def transfer_form(branches: Sequence[str], typed: Typed = None) -> PageForm:
    """Return the form that sends pieces of a part to another branch."""
    fields = {
        "pieces": PiecesField("Pieces to another branch"),
        "from": PickedField("From", branches),
        "to": PickedField("To", branches[::-1]),
    }
    return PageForm(fields, typed, ids="send")


def packs_form(parts: Mapping[str, int], ids: str, typed: Typed = None) -> PageForm:
    """Return the form in which packs are typed; `parts` go with the packs that are proposed."""
    fields = {f"packs {part}": PiecesField(f"Packs of {part}", "packs", least=0, shown={"size": "4"}) for part in parts}
    return PageForm(fields, typed, {f"packs {part}": str(packs) for part, packs in parts.items()}, ids)


def receive_form(outstanding: Mapping[str, int], unit: str, typed: Typed = None) -> PageForm:
    """Return the form for what came of an order, in pieces by part, and what was measured of it."""
    fields: dict[str, Any] = {}
    for part in outstanding:
        fields[f"came {part}"] = PiecesField(f"Pieces of {part} that came", least=0, shown={"size": "4"})
        fields[f"measured {part}"] = measured_field(unit)
    fields[SURE] = sure_field()
    given = {f"came {part}": str(pieces) for part, pieces in outstanding.items()}
    return PageForm(fields, typed, given)


def quench_form(cylinders: Iterable[str], cylinder: str, unit: str, typed: Typed = None) -> PageForm:
    """Return the form for the quench that was measured at mock-up."""
    fields = {
        "cylinder": PickedField("Cylinder", cylinders, default=cylinder),
        "places": PlacesField("Quench", "quench"),
        "unit": PickedField("Unit", UNITS, default=unit),
    }
    return PageForm(fields, typed)


def due_form(due: date | None, typed: Typed = None) -> PageForm:
    """Return the form that moves the day of an engine."""
    return PageForm({"due": DueField("Parts due on")}, typed, {"due": due.isoformat() if due else ""})


def offer_form(ids: str, given: Mapping[str, object], typed: Typed = None) -> PageForm:
    """Return the form for what was answered on the telephone."""
    fields = {
        **{name: HiddenField() for name in ("kind", "family", "call")},
        "supplier": NeededField("Who said so", "who said so"),
        "part": NeededField("Number of the part", "the number of the part, theirs or ours"),
        "thickness": LengthField("Thickness, mm", "gasket thickness", "mm"),
        "opening": LengthField("Opening, mm", "bore", "mm"),
        "price": PriceField("Price of a pack"),
        "pack": PiecesField("Pieces in a pack"),
        "days": PiecesField("Days until it is here", "days", least=0, most=MOST_DAYS),
    }
    return PageForm(fields, typed, {"pack": "1", **given}, ids)


def refusal_form(typed: Typed = None) -> PageForm:
    """Return the form that says who does not make something."""
    fields = {
        **{name: HiddenField() for name in ("kind", "family")},
        "supplier": NeededField("Who said so", "who said so"),
        "thickness": LengthField("Thickness, mm", "gasket thickness", "mm"),
    }
    return PageForm(fields, typed)


def settings_form(suppliers: Iterable[str], given: Mapping[str, object], typed: Typed = None) -> PageForm:
    """Return the form of the shop's own settings."""
    numbers = {f"number {supplier}": TypedField(supplier) for supplier in suppliers}
    fields = {
        "name": TypedField("Name"),
        "units": PickedField("Units first", SHOP_UNITS),
        "review_days": PiecesField("Days between checks of the shelf", "days", least=0),
        "address": TextAreaField("Address, as it stands on orders", render_kw={"rows": "3"}),
        "people": TextAreaField("People, one a line", render_kw={"rows": "4"}),
        **numbers,
    }
    return PageForm(fields, typed, given)


def me_form(who: str, *, inch_first: bool, typed: Typed = None) -> PageForm:
    """Return the form in which one says who one is."""
    fields = {
        "who": TypedField("Who presses", shown={"list": "me-people"}),
        "units": PickedField("Units first", SHOP_UNITS),
    }
    return PageForm(fields, typed, {"who": who, "units": SHOP_UNITS[inch_first]}, "me")
