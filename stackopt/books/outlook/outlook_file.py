"""An outlook file: which engines are to come, as TOML, read into checked records or Problems."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Sequence
from pathlib import Path

from msgspec import Struct
from msgspec.structs import replace

from stackopt.books.engine_text import values
from stackopt.books.engine_text.engine_file import read_engine_file
from stackopt.books.engine_text.section import FileSection, Findings
from stackopt.books.engine_text.toml_text import read_toml
from stackopt.books.facts.read import read_books
from stackopt.engine.engine_records import Engine
from stackopt.problems import InputError, Place, Problem, UnreadableError
from stackopt.stocking.range.outlook import LEAST_PAST_ENGINES, BoreStep, Deck, FamilyToCome, Outlook
from stackopt.units import cents

LIKE = 'an engine file, or a book with the name of an engine in it, as like = "shop.xlsx:HC-11"'


class StatedOutlook(Struct, frozen=True):
    """What an outlook file says; `budget_cents` is None where it states none."""

    outlook: Outlook
    budget_cents: int | None


def read_outlook_file(path: Path, past: Iterable[Engine]) -> StatedOutlook:
    """Read an outlook file.

    Parameters
    ----------
    path
        The file; what it names is looked for in its folder.
    past
        The shop's past engines: families that name no engine to be like are drawn from them.

    Raises
    ------
    InputError
        When the file cannot be opened or is not TOML, and for all faults of its keys and values together.
    """
    findings = Findings()
    top = FileSection(read_toml(path, "an outlook file"), Place(str(path)), findings)
    usual = Outlook(())
    outlook = Outlook(
        families=_families(top, tuple(past), path.parent),
        engines=top.take("engines", values.whole_number(1)) or usual.engines,
        scenarios=top.take("scenarios", values.whole_number(2)) or usual.scenarios,
        seed=_seed(top, usual),
    )
    budget_cents = top.take("budget", _amount)
    findings.blame_unknown_keys()
    if findings.problems:
        raise InputError(*findings.problems)
    return StatedOutlook(outlook, budget_cents)


def _seed(top: FileSection, usual: Outlook) -> int:
    seed = top.take("seed", values.whole_number(0))
    return usual.seed if seed is None else seed


def _amount(value: object) -> int:
    if not isinstance(value, str | int | float) or isinstance(value, bool):
        raise UnreadableError(values.written(value), 'an amount of money, as "1200.00"')
    amount_cents = cents(value)
    if amount_cents <= 0:
        raise UnreadableError(values.written(value), "an amount of money greater than 0")
    return amount_cents


def _families(top: FileSection, past: Sequence[Engine], folder: Path) -> tuple[FamilyToCome, ...]:
    if not top.has("family") or top.entries["family"] == []:
        top.blame("family", "one [[family]] table for each family, with family and share", "Add the lines.")
    families = [_family(section, past, folder) for section in top.tables("family")]
    return tuple(family for family in families if family is not None)


def _family(section: FileSection, past: Sequence[Engine], folder: Path) -> FamilyToCome | None:
    code = section.need("family", values.name, 'the family code that parts name, as family = "KV82"')
    share = section.need("share", _share, "its share of the engines to come, as share = 0.4")
    like = section.take("like", values.name)
    deck = _deck(section)
    bores = tuple(_bores(section))
    if code is None or share is None:
        return None
    patterns = _patterns(section, code, like, past, folder)
    if like is not None and deck is None and not section.has("deck_mean"):
        expected = "mean and spread of the decks beside `like`: one engine does not tell how they scatter"
        section.blame("deck_mean", expected, 'Add the lines, as deck_mean = "0.05 mm proud", deck_spread = "0.12 mm".')
    return FamilyToCome(code, share, patterns, deck, bores)


def _share(value: object) -> float:
    share = values.number(value, 0, 1e6, "a share greater than 0, as 0.4")
    if share == 0:
        raise UnreadableError(values.written(value), "a share greater than 0, as 0.4", "Or take the table out.")
    return share


def _deck(section: FileSection) -> Deck | None:
    """Return the stated decks; mean and spread go together."""
    mean_mm = section.take("deck_mean", values.deck_height)
    spread_mm = section.take("deck_spread", values.length("deck spread"))
    for key, other in (("deck_mean", "deck_spread"), ("deck_spread", "deck_mean")):
        if key not in section.entries and other in section.entries:
            section.blame(key, f"{key} beside {other}", "Add the line, or take the other out.")
    return None if mean_mm is None or spread_mm is None else Deck(mean_mm, spread_mm)


def _bores(section: FileSection) -> Iterable[BoreStep]:
    for step in section.tables("bore"):
        oversize_mm = step.need("oversize", values.length("oversize"), 'mm over standard, as oversize = "0.25 mm"')
        share = step.need("share", _share, "the share of engines bored to it, as share = 0.2")
        if oversize_mm is not None and share is not None:
            yield BoreStep(oversize_mm, share)


def _patterns(
    section: FileSection, code: str, like: str | None, past: Sequence[Engine], folder: Path
) -> tuple[Engine, ...]:
    """Return the engines that a family's are drawn from."""
    if like is not None:
        engine = _engine_like(section, like, folder)
        return () if engine is None else (replace(engine, family=code),)
    own = tuple(engine for engine in past if engine.family == code)
    if len(own) < LEAST_PAST_ENGINES:
        found = f"{len(own)} past engine{'' if len(own) == 1 else 's'} of {code}"
        expected = f"an engine to be like, or {LEAST_PAST_ENGINES} past engines of the family in the books"
        mend = 'Add like = "an engine file", deck_mean and deck_spread.'
        section.findings.problems.append(Problem(section.at("like"), found, expected, mend))
    return own


def _engine_like(section: FileSection, like: str, folder: Path) -> Engine | None:
    book, _, name = like.rpartition(":")
    try:
        if Path(like).suffix.lower() == ".toml":
            return read_engine_file(folder / like)
        engines = read_books([folder / book]).engines
    except InputError as error:
        section.findings.problems += error.problems
        return None
    named = [engine for engine in engines if engine.name == name]
    if not named:
        section.blame("like", LIKE, _held(engines))
        return None
    return named[0]


def _held(engines: Collection[Engine]) -> str:
    names = ", ".join(engine.name for engine in engines)
    return f"That book holds {names}." if names else "That book has no engines sheet."
