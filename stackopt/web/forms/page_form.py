"""A form of a page: what was typed stays in its fields, and what is wrong stands at the field that it is about."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any

from msgspec.structs import replace
from werkzeug.datastructures import MultiDict
from wtforms.form import BaseForm
from wtforms.meta import DefaultMeta

from stackopt.problems import InputError, Problem


class FieldMarks(DefaultMeta):
    """Tells a reader of screens which fields are wrong, and where that is said."""

    def render_field(self, field: Any, render_kw: dict[str, Any]) -> Any:
        """Draw one field."""
        marks = {"aria-invalid": "true", "aria-describedby": f"{field.id}-wrong"} if field.errors else {}
        return super().render_field(field, {**marks, **render_kw})


class PageForm(BaseForm):
    """A form of some fields by name.

    Parameters
    ----------
    fields
        Its fields, by name.
    typed
        What was typed; None for a form that is given out.
    given
        What stands in it when it is given out.
    ids
        What the ids of its fields begin with, where a page has several forms with fields of one name.
    """

    def __init__(
        self,
        fields: Mapping[str, Any],
        typed: Mapping[str, str] | None = None,
        given: Mapping[str, object] | None = None,
        ids: str = "",
    ) -> None:
        super().__init__(dict(fields), meta=FieldMarks())
        self.elsewhere: list[Problem] = []
        for field in self if ids else ():
            field.id = field.label.field_id = f"{ids}-{field.name}".replace(" ", "-")
        kept = typed if typed is None or hasattr(typed, "getlist") else MultiDict(typed)
        self.process(kept, data=given)

    @property
    def is_wrong(self) -> bool:
        """Something was found wrong with it."""
        return bool(self.errors or self.elsewhere)

    @property
    def problems(self) -> tuple[Problem, ...]:
        """What is wrong, field by field, then what belongs to none."""
        at_fields = [problem for field in self if (problem := getattr(field, "problem", None)) is not None]
        return (*at_fields, *self.elsewhere)

    def check(self) -> PageForm:
        """Read every field; return the form.

        Raises
        ------
        InputError
            With what is wrong; each is kept at its field too.
        """
        if not self.validate():
            raise InputError(*self.problems)
        return self

    def field_of(self, item: str) -> str:
        """Return the name of the field that a problem belongs to, by the item of its place."""
        return item

    def blame(self, problems: Iterable[Problem]) -> None:
        """Keep what is wrong at its field, or with the form where it has none."""
        for problem in problems:
            name = self.field_of(problem.place.item)
            field = self._fields.get(name)
            if field is not None and hasattr(field, "blame"):
                field.blame(replace(problem, place=replace(problem.place, item=name)))
            elif problem not in self.elsewhere:
                self.elsewhere.append(problem)


def said_of(form: PageForm, prefix: str, names: Iterable[str]) -> dict[str, object]:
    """Return what was typed in some fields, by name; those left empty are not said."""
    found = {name: form[prefix + name].said for name in names}
    return {name: said for name, said in found.items() if said not in ("", None)}


def put(top: dict[str, object], name: str, said: object) -> None:
    """Put what was said into its table: ``running.speed`` into ``running``; nothing where nothing was said."""
    if said in ("", None):
        return
    table, _, key = name.rpartition(".")
    within = top.setdefault(table, {}) if table else top
    assert isinstance(within, dict)
    within[key] = said
