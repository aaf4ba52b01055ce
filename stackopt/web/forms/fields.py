"""The kinds of fields that forms have: WTForms keeps label, text and what is wrong; the readers of sheets read them.

After a form is checked, `said` of a field is what it says, and `problem` what is wrong with it.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from typing import Any

from wtforms import BooleanField, RadioField, SelectField, StringField
from wtforms.fields import SelectChoice
from wtforms.validators import ValidationError
from wtforms.widgets import DateInput

from stackopt.books.engine_text import values
from stackopt.problems import Place, Problem, UnreadableError
from stackopt.units import cents
from stackopt.web.desk.writing import problem_words

MOST_PIECES = 1_000_000
# Of a name: what is longer stands on no card.
MOST_LETTERS = 80
_COMMA = re.compile(r"(?P<whole>\d+),(?P<rest>\d+)(?P<unit>\s*[^\d.,]*)")


class TypedField(StringField):
    """A text that is typed, as it stands; `mode` tells a telephone which keys to show."""

    said: Any = ""
    errors: Any
    problem: Problem | None = None

    def __init__(self, label: str, *, mode: str = "", shown: Mapping[str, str] | None = None, **more: Any) -> None:
        keys = {"inputmode": mode} if mode else {}
        super().__init__(label, render_kw={"autocomplete": "off", **keys, **(shown or {})}, **more)

    def read(self, form: Any) -> Any:
        """Return what it says.

        Raises
        ------
        UnreadableError
            When that cannot be read.
        """
        return (self.data or "").strip()

    def pre_validate(self, form: Any) -> None:
        """Read it; what is wrong is said in the words of sheets and files."""
        try:
            self.said = self.read(form)
        except UnreadableError as error:
            self.problem = error.at(Place(item=self.name))
            raise ValidationError(problem_words(self.problem)) from None

    def blame(self, problem: Problem) -> None:
        """Take what was found wrong with it later; what is wrong already is not said twice."""
        if not self.errors:
            self.problem, self.errors = problem, [problem_words(problem)]


class NameField(TypedField):
    """A name: of letters and signs that can be seen, blanks in it as one."""

    def read(self, form: Any) -> str:
        """Return the name; empty where none is typed."""
        name = " ".join((self.data or "").split())
        if len(name) > MOST_LETTERS:
            raise UnreadableError(f"{len(name)} letters", f"a name of at most {MOST_LETTERS}")
        if not name.isprintable() or name in (".", ".."):
            seen = "".join(letter if letter.isprintable() else "□" for letter in name)
            raise UnreadableError(seen, "a name of letters, digits and signs that can be seen")
        return name


class NeededField(NameField):
    """A name that cannot be left out; `expected` says what is asked for."""

    def __init__(self, label: str, expected: str, **more: Any) -> None:
        super().__init__(label, **more)
        self.expected = expected

    def read(self, form: Any) -> str:
        """Return the name."""
        name = super().read(form)
        if not name:
            raise UnreadableError("", self.expected)
        return name


class DayField(TypedField):
    """A day, picked from a calendar."""

    widget = DateInput()


class MeasureField(TypedField):
    """A measure as an engine file has it, its unit behind it; `LENGTH` stands for the unit of the form's lengths.

    `beside` names the field, by the end of its name, in which the unit of this one alone is picked.
    """

    LENGTH = "length"

    def __init__(self, label: str, unit: str = LENGTH, *, beside: tuple[str, str] = ("", ""), **more: Any) -> None:
        super().__init__(label, **{"mode": "decimal", **more})
        self.unit, self.beside = unit, beside

    def unit_in(self, form: Any) -> str:
        """Return the unit that a bare number has."""
        own, other = self.beside
        if other:
            return str(form[self.name.removesuffix(own) + other].data or "")
        return str(form["unit"].data or "") if self.unit == self.LENGTH else self.unit

    def read(self, form: Any) -> Any:
        """Return the measure with its unit; empty where none is typed."""
        return with_unit(self.data or "", self.unit_in(form))


class LengthField(MeasureField):
    """A length, read to mm; None where none is typed."""

    def __init__(self, label: str, measure: str, unit: str = MeasureField.LENGTH, **more: Any) -> None:
        super().__init__(label, unit, **more)
        self.measure = measure

    def read(self, form: Any) -> float | None:
        """Return the length, mm."""
        text = super().read(form)
        return self.length_mm(text) if text else None

    def length_mm(self, text: str) -> float:
        """Return a length that is written with its unit, mm."""
        return values.length(self.measure)(text)


class NumberField(MeasureField):
    """A number without a unit."""

    def __init__(self, label: str, expected: str = "a number", **more: Any) -> None:
        super().__init__(label, "", **more)
        self.expected = expected

    def read(self, form: Any) -> int | float | None:
        """Return the number; None where none is typed."""
        text = super().read(form)
        if not text:
            return None
        try:
            return int(text) if text.isascii() and text.isdecimal() else float(text)
        except ValueError:
            raise UnreadableError(text, self.expected) from None


class PiecesField(TypedField):
    """A whole number of pieces, packs or days, `least` or more, and `most` at most."""

    def __init__(
        self, label: str, what: str = "pieces", *, least: int = 1, most: int = MOST_PIECES, **more: Any
    ) -> None:
        super().__init__(label, **{"mode": "numeric", **more})
        self.what, self.least, self.most = what, least, most

    def read(self, form: Any) -> int:
        """Return the number."""
        text = (self.data or "").strip()
        sign, digits = ("-", text[1:]) if text[:1] in ("-", "−") else ("", text.removeprefix("+"))
        number = int(f"{sign}{digits}") if digits.isascii() and digits.isdecimal() and len(digits) < 10 else None
        if number is None or not self.least <= number <= self.most:
            least = f"{self.least} or more" if self.least >= 0 else "as +1 or -1"
            most = f", {self.most} at most" if self.most != MOST_PIECES else ""
            raise UnreadableError(text, f"a whole number of {self.what}, {least}{most}")
        return number


class PriceField(TypedField):
    """A price above nothing, in cents."""

    def __init__(self, label: str, **more: Any) -> None:
        super().__init__(label, mode="decimal", **more)

    def read(self, form: Any) -> int:
        """Return the price, cents."""
        text = (self.data or "").strip()
        price_cents = cents(text, "," if "," in text and "." not in text else ".")
        if price_cents <= 0:
            raise UnreadableError(text, "what a pack costs, above 0")
        return price_cents


class PickedField(SelectField):
    """One of several, picked; what is picked is checked by who reads the form, in its own words."""

    problem: Problem | None = None

    def __init__(self, label: str, options: Any, *, unsaid: str = "", **more: Any) -> None:
        first = [SelectChoice("", unsaid)] if unsaid else []
        choices = [*first, *(SelectChoice(str(each)) for each in options)]
        super().__init__(label, choices=choices, validate_choice=False, **more)

    @property
    def said(self) -> str:
        """What is picked."""
        return str(self.data or "").strip()

    blame = TypedField.blame


class SideField(PickedField, RadioField):
    """One of several as large buttons; none is picked until somebody does."""


class CheckField(BooleanField):
    """A box to tick."""

    def __init__(self, label: str, **more: Any) -> None:
        super().__init__(label, render_kw={"value": "yes"}, **more)


def with_unit(text: str, unit: str) -> str:
    """Return a measure as an engine file has it: a point before the decimals, its unit behind it; empty for nothing.

    A comma is read as a decimal comma where it can be nothing else: ``0,11``, not ``1,234``.

    Raises
    ------
    UnreadableError
        When a comma in it could be either.
    """
    plain = " ".join(text.replace("\u00a0", " ").split())
    match = _COMMA.fullmatch(plain)
    if match is not None:
        if len(match["rest"]) == 3 and match["whole"].strip("0"):
            mend = f"Write {match['whole']}.{match['rest']} or {match['whole']}{match['rest']}."
            raise UnreadableError(plain, "a number with one reading", mend)
        plain = f"{match['whole']}.{match['rest']}{match['unit']}"
    return f"{plain} {unit}".strip() if plain and re.search(r"[\d.]$", plain) else plain
