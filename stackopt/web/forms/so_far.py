"""How far an engine is while it is typed: each deck as it stands, and what goes on it once all decks are read."""

from __future__ import annotations

from collections.abc import Mapping

from msgspec import Struct
from msgspec.structs import replace

from stackopt.engine.engine_records import Cylinder, Engine
from stackopt.engine.readings.deck_spread import deck_reach_mm
from stackopt.parts.part_records import ANY_FAMILY, Supply
from stackopt.problems import InputError, Place, Problem
from stackopt.report.card.sheet import SheetCylinder, caution_words
from stackopt.web.desk.answers import with_defaults
from stackopt.web.desk.room import room, units
from stackopt.web.desk.sheets import sheet_for
from stackopt.web.desk.verdict import Verdict, VerdictWords, verdict_of
from stackopt.web.desk.writing import problem_words
from stackopt.web.forms.engine_form import cylinders_of, in_place_mm, names_of, read_engine_form
from stackopt.web.forms.further import with_what_is_not_asked

# Stands in for what is not typed yet where only a deck is looked at; nothing of it is shown.
ONE_DECK = {
    "engine": "–",
    "family": "–",
    "cylinders": "1",
    "stroke": "80 mm",
    "cylinder[1].bore": "80 mm",
}
OF_A_DECK = ("reading", "base_gasket", "instrument", "resolution", "deck")
UNNAMED = "–"


class CylinderSoFar(Struct, frozen=True):
    """One cylinder: its deck where one is read, with half of its 95 %; what goes on it where that is known; remarks."""

    name: str
    deck_height_mm: float | None = None
    reach_mm: float | None = None
    fitted: SheetCylinder | None = None
    remarks: tuple[str, ...] = ()


class SoFar(Struct, frozen=True):
    """What can be said while an engine is typed; `wrong` goes by field."""

    verdict: VerdictWords
    cylinders: tuple[CylinderSoFar, ...]
    wrong: Mapping[str, str] = {}
    cautions: tuple[str, ...] = ()


def so_far(form: Mapping[str, str]) -> SoFar:
    """Say how far the readings go."""
    decks = [_deck(form, number) for number in cylinders_of(form)]
    if not room().has_ledger:
        return SoFar(VerdictWords(Verdict.OPEN, "Not yet", "what lies on the shelf is not said yet."), tuple(decks))
    try:
        engine = _typed(form)
    except InputError as error:
        return _not_yet(decks, error)
    named = [_named(cylinder, engine) for cylinder in engine.cylinders]
    general = caution_words([each for each in engine.cautions if not each.cylinder], units())
    try:
        check_family(engine, room().ledger.supply())
        sheet = sheet_for(engine, room().ledger, room().today(), units())
    except InputError as error:
        words = " ".join(map(problem_words, error.problems))
        return SoFar(VerdictWords(Verdict.OPEN, "Not yet", words), tuple(named), _at_fields(error), general)
    if not sheet.blocked:
        named = [replace(each, fitted=fitted) for each, fitted in zip(named, sheet.cylinders, strict=True)]
    return SoFar(verdict_of(sheet), tuple(named), {}, general)


def _typed(form: Mapping[str, str]) -> Engine:
    """Return the engine as it stands in the form, as writing it down would have it."""
    ledger, known = room().ledger, form.get("known", "")
    typed = {"engine": UNNAMED, **{key: text for key, text in form.items() if text}}
    engine = read_engine_form(typed, in_place_mm(room().address))
    if known:
        engine = with_what_is_not_asked(engine, ledger.engine(known), form)
    return with_defaults([engine], ledger)[0]


def check_family(engine: Engine, supply: Supply) -> None:
    """Refuse a family that no part names, before anything is written down.

    Raises
    ------
    InputError
        With the families that parts name.
    """
    known = {family for part in supply.parts.values() for family in part.families}
    if known and engine.family not in known and ANY_FAMILY not in known:
        named = ", ".join(sorted(known))
        raise InputError(Problem(Place(item="family"), engine.family, f"a family that parts name: {named}"))


def _not_yet(decks: list[CylinderSoFar], error: InputError) -> SoFar:
    """Say what is still to be read, or to be looked at again."""
    wrong = _at_fields(error)
    unread = [each.name for each in decks if each.deck_height_mm is None]
    if wrong:
        words = "look again at what is marked."
    elif unread:
        words = f"still to read: {', '.join(unread)}."
    else:
        empty = [problem.place.item for problem in error.problems if not problem.found]
        words = f"still to fill in: {', '.join(dict.fromkeys(map(field_words, empty)))}."
    return SoFar(VerdictWords(Verdict.OPEN, "Not yet", words), tuple(decks), wrong)


def _at_fields(error: InputError) -> dict[str, str]:
    return {problem.place.item: problem_words(problem) for problem in error.problems if problem.found}


def field_words(name: str) -> str:
    """Say in words which field it is: ``bore`` of ``cylinder[1].bore``."""
    return name.rpartition("].")[2].replace("_", " ").replace(".", " ")


def _deck(form: Mapping[str, str], number: int) -> CylinderSoFar:
    """Read one deck alone, whatever else is missing."""
    at = f"cylinder[{number}]."
    name = names_of(form)[number - 1]
    typed = {
        f"cylinder[1].{key.removeprefix(at)}": text
        for key, text in form.items()
        if text and key.startswith(at) and key.removeprefix(at).startswith(OF_A_DECK)
    }
    try:
        alone = {**ONE_DECK, "unit": form.get("unit", ""), "cylinder[1].name": name, **typed}
        engine = read_engine_form(alone, in_place_mm(room().address))
    except InputError:
        return CylinderSoFar(name)
    return replace(_named(engine.cylinders[0], engine), remarks=())


def _named(cylinder: Cylinder, engine: Engine) -> CylinderSoFar:
    reach_mm = deck_reach_mm(cylinder.spread) if cylinder.spread.deck_mm else None
    remarks = tuple(dict.fromkeys(each.words(units()) for each in engine.cautions if each.cylinder == cylinder.name))
    return CylinderSoFar(cylinder.name, cylinder.deck_height_mm, reach_mm, remarks=remarks)
