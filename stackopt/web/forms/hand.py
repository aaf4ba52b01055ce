"""What the builder has in his hand: two fields a cylinder, tried as the command tries it, and held where it does."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from typing import Any

from msgspec import Struct

from stackopt.choose.patience import Patience
from stackopt.choose.tried.bound import bound_outcomes
from stackopt.choose.tried.hand import is_listed, pieces_in_hand
from stackopt.choose.tried.stacks import Tried, tried_stacks
from stackopt.choose.why.explain import Answer
from stackopt.engine.engine_records import Engine
from stackopt.parts.part_records import Kind
from stackopt.problems import InputError
from stackopt.report.answer.tried import tried_rows
from stackopt.report.drawings.stack_map import MapSpot
from stackopt.web.desk.answers import BENCH_SECONDS, marks_of, only_these, solve
from stackopt.web.forms.fields import TypedField, with_unit
from stackopt.web.forms.page_form import PageForm

ROLES = ("base", "head")


class InHand(Struct, frozen=True):
    """What was tried: by cylinder its figures as rows, and its place on the map.

    `only` and `marks` are what holding it takes; empty where it cannot be held as it is.
    """

    rows: Mapping[str, tuple[tuple[str, str], ...]]
    inside: Mapping[str, bool]
    spots: Mapping[str, MapSpot]
    only: tuple[tuple[int, str], ...] = ()
    marks: str = ""
    wrong: tuple[str, ...] = ()


def field_name(role: str, number: int) -> str:
    """Return the name of a field: ``base.1`` for what lies under the first cylinder."""
    return f"{role}.{number}"


class PieceField(TypedField):
    """A part number, or a plain thickness in the unit of the form."""

    def __init__(self, label: str, unit: str, **more: Any) -> None:
        super().__init__(label, **more)
        self.unit = unit

    def read(self, form: Any) -> str:
        """Return a part number as it stands, or a thickness with its unit."""
        plain = str(super().read(form))
        return with_unit(plain, self.unit) if plain[:1].isdigit() and not any(map(str.isalpha, plain)) else plain


def hand_form(engine: Engine, unit: str, typed: Mapping[str, str]) -> PageForm:
    """Return the form: what lies below and above each cylinder."""
    labels = {"base": "Below the cylinder", "head": "Above it"}
    return PageForm(
        {
            field_name(role, number): PieceField(labels[role], unit, shown={"list": f"parts-{role}"})
            for number, _ in enumerate(engine.cylinders, start=1)
            for role in ROLES
        },
        typed,
    )


def in_hand(engine: Engine, answer: Answer, form: PageForm) -> InHand | None:
    """Try what was typed; None where nothing was, or something of it cannot be read."""
    if not form.validate():
        return None
    named = list(_named(engine, form))
    if not named:
        return None
    try:
        chosen = bound_outcomes(answer.request, answer.supply, engine, answer.choice.engines[0])
        tried = tried_stacks(engine, answer.supply, pieces_in_hand(engine, answer.supply, named), chosen)
    except InputError as error:
        return InHand({}, {}, {}, wrong=tuple(map(str, error.problems)))
    only, marks = _holding(engine, answer, tried)
    return InHand(
        {one.cylinder: tuple(tried_rows(one, answer.supply.parts)) for one in tried},
        {one.cylinder: one.inside for one in tried},
        {one.cylinder: _spot(one) for one in tried},
        only,
        marks,
    )


def _named(engine: Engine, form: PageForm) -> Iterator[str]:
    for number, cylinder in enumerate(engine.cylinders, start=1):
        base, head = (form[field_name(role, number)].said for role in ROLES)
        if base or head:
            yield f"{cylinder.name}={base or '?'}+{head or '?'}"


def _spot(one: Tried) -> MapSpot:
    base_mm = sum(part.thickness_mm for part in one.pieces if part.kind is not Kind.HEAD_GASKET)
    head_mm = sum(part.thickness_mm for part in one.pieces if part.kind is Kind.HEAD_GASKET)
    return MapSpot(" + ".join(part.number or f"{part.thickness_mm:g} mm" for part in one.pieces), base_mm, head_mm)


def _holding(engine: Engine, answer: Answer, tried: Sequence[Tried]) -> tuple[tuple[tuple[int, str], ...], str]:
    """Return what holding it takes, where every cylinder has a stack that does and whose pieces are known parts."""
    parts = answer.supply.parts
    whole = len(tried) == len(engine.cylinders) and all(one.inside and one.needs is None for one in tried)
    if not whole or not all(is_listed(part, parts) for one in tried for part in one.pieces):
        return (), ""
    only = tuple((number, part.number) for number, one in enumerate(tried, start=1) for part in one.pieces)
    with_these = solve(
        [engine], only_these(answer.supply, engine, only), answer.request.today, Patience.of_seconds(BENCH_SECONDS)
    )
    (fitted,) = with_these.choice.engines
    same = [sorted(piece.part for piece in each.pieces) for each in fitted.cylinders] == [
        sorted(part.number for part in one.pieces) for one in tried
    ]
    return (only, marks_of(with_these)) if same else ((), "")
