"""Pieces that were measured when they came: doubted where they are far from their list, and said again."""

from __future__ import annotations

import re
import statistics
from collections.abc import Iterator, Mapping, Sequence
from typing import Any

from stackopt.parts.learned import far_from_listed
from stackopt.problems import InputError, Place, Problem
from stackopt.report.wording import counted
from stackopt.shop.ledger import Ledger
from stackopt.web.forms.fields import CheckField, LengthField, with_unit
from stackopt.web.forms.page_form import PageForm

SURE = "sure"


class SeveralLengthsField(LengthField):
    """Lengths typed one behind the other, a blank or a semicolon between them: 0.41 0.42."""

    def read(self, form: Any) -> Any:
        """Return the lengths, mm."""
        texts = filter(None, re.split(r"\s*;\s*|\s+(?=[\d.,])", (self.data or "").strip()))
        return tuple(self.length_mm(with_unit(text, self.unit_in(form))) for text in texts)


def measured_field(unit: str) -> Any:
    """Return the field for what a micrometer told of single pieces that came."""
    return SeveralLengthsField(f"Thickness of single pieces, if measured, {unit}", "gasket thickness", unit)


def sure_field() -> Any:
    """Return the box that is ticked to go by what is unlikely."""
    return CheckField("Go by what was measured all the same")


def readings_of(form: PageForm, fields: Mapping[str, str], ledger: Ledger) -> dict[str, Sequence[float]]:
    """Return what was measured, mm, by part; `fields` names the field of each.

    Raises
    ------
    InputError
        When a piece is far from what its part is listed as, and nobody has said that it is so all the same.
    """
    readings_mm = {part: said for part, name in fields.items() if (said := form[name].said)}
    parts = ledger.supply(as_listed=True).parts if readings_mm and not form[SURE].data else {}
    problems = []
    for part, read_mm in readings_mm.items():
        far = far_from_listed(parts[part], read_mm) if part in parts else []
        if far:
            expected = f"about {parts[part].thickness_mm:.3f} mm, as it is listed installed"
            mend = "Another part, a gasket not yet crushed, a slip of the gauge? If not, tick the box, and receive it."
            problems.append(Problem(Place(item=fields[part]), f"{far[0]:.3f} mm", expected, mend))
    if problems:
        raise InputError(*problems)
    return readings_mm


def measured_words(readings_mm: Mapping[str, Sequence[float]]) -> Iterator[str]:
    """Say what was measured."""
    for part, read_mm in readings_mm.items():
        yield f"{part}: {statistics.fmean(read_mm):.3f} mm over {counted(len(read_mm), 'piece')} as measured."
