"""Pieces as a builder names them: part numbers or plain thicknesses, ``?`` for the one that he asks for."""

from __future__ import annotations

import difflib
from collections.abc import Mapping, Sequence

from stackopt.engine.effects.limits import within_reason
from stackopt.engine.engine_records import Cylinder, Engine
from stackopt.parts.part_records import Kind, Part, Supply
from stackopt.problems import InputError, Place, Problem, UnreadableError
from stackopt.units import length_mm

SOUGHT = "?"
EXPECTED = "CYLINDER=BASE+HEAD, as front=BG-020+0.45 mm, or ? for the piece that is sought"
NEAREST = 3

# None is the piece that is sought.
Pieces = tuple[Part | None, ...]


def pieces_in_hand(engine: Engine, supply: Supply, named: Sequence[str]) -> dict[str, Pieces]:
    """Read ``front=BASE+HEAD`` for each cylinder that is tried; base pieces come first, the head gasket last.

    Parameters
    ----------
    engine
        The engine.
    supply
        Where the parts are described.
    named
        As the builder writes them.

    Raises
    ------
    InputError
        When a cylinder or a part is not known, a thickness has no unit, more than one piece is sought, or the pieces
        do not stand in their order.
    """
    found: dict[str, Pieces] = {}
    for text in named:
        name, equals, pieces = text.partition("=")
        if not equals:
            raise _wrong(text, EXPECTED)
        cylinder = _cylinder(engine, name.strip(), text)
        if cylinder.name in found:
            raise _wrong(text, "each cylinder once", "Take one of the two out.")
        found[cylinder.name] = read_pieces(engine, pieces, supply.parts)
    return found


def part_numbers_in(named: Sequence[str]) -> set[str]:
    """Return whatever may be a part number in ``front=BASE+HEAD`` texts."""
    pieces = [text.partition("=")[2] for text in named]
    return {word.strip() for piece in pieces for word in (piece, *piece.split("+"))}


def read_pieces(engine: Engine, text: str, parts: Mapping[str, Part]) -> Pieces:
    """Read ``BASE+HEAD``, with base shims between them; raises as `pieces_in_hand`."""
    words = _split(text, parts)
    if len(words) < 2 or words.count(SOUGHT) > 1:
        raise _wrong(text, f"{EXPECTED}; one piece at most is sought")
    kinds = [Kind.BASE_GASKET, *[Kind.BASE_SHIM] * (len(words) - 2), Kind.HEAD_GASKET]
    return tuple(
        None if word == SOUGHT else _piece(engine, word, kind, parts) for word, kind in zip(words, kinds, strict=True)
    )


def kinds_of(pieces: Pieces) -> list[Kind]:
    """Return what each piece of a stack is: a base gasket, shims, the head gasket."""
    return [Kind.BASE_GASKET, *[Kind.BASE_SHIM] * (len(pieces) - 2), Kind.HEAD_GASKET]


def plain_thickness(text: str, kind: Kind, tolerance_mm: float = 0.0) -> Part:
    """Return a piece of which nothing is known but its thickness.

    Raises
    ------
    UnreadableError
        When that has no unit, or is out of all reason.
    """
    thickness_mm = within_reason("gasket thickness", length_mm(text), text)
    return Part(text, kind, thickness_mm=thickness_mm, tolerance_mm=tolerance_mm, plain=True)


def is_listed(piece: Part, parts: Mapping[str, Part]) -> bool:
    """Tell whether a piece is a part of the lists; else it is a plain thickness."""
    return parts.get(piece.number) is piece


def _cylinder(engine: Engine, name: str, text: str) -> Cylinder:
    for cylinder in engine.cylinders:
        if cylinder.name.casefold() == name.casefold():
            return cylinder
    names = ", ".join(cylinder.name for cylinder in engine.cylinders)
    raise _wrong(text, f"the name of a cylinder of {engine.name} before the = sign: {names}")


def _split(text: str, parts: Mapping[str, Part]) -> list[str]:
    """Split at each + that does not belong to a part number."""
    words: list[str] = []
    for word in (piece.strip() for piece in text.split("+")):
        if words and f"{words[-1]}+{word}" in parts:
            words[-1] = f"{words[-1]}+{word}"
        else:
            words.append(word)
    return words


def _piece(engine: Engine, word: str, kind: Kind, parts: Mapping[str, Part]) -> Part:
    part = parts.get(word)
    if part is not None and part.kind is not kind:
        raise _wrong(word, f"a {kind} in this place; {word} is a {part.kind}", "Name base pieces first, the head last.")
    if part is not None:
        return part
    try:
        return plain_thickness(word, kind)
    except UnreadableError as error:
        if word[:1].isdigit() or word[:1] in ".-":
            raise InputError(error.at(Place(item="--try"))) from None
        known = sorted(number for number, one in parts.items() if one.kind is kind)
        near = ", ".join(difflib.get_close_matches(word, known, NEAREST, cutoff=0.0))
        mend = f"The nearest known: {near}." if near else f"The books list no {kind}."
        raise _wrong(word, f"the part number of a {kind} that fits {engine.family}, or a thickness", mend) from None


def _wrong(found: str, expected: str, mend: str = "") -> InputError:
    return InputError(Problem(Place(item="--try"), found, expected, mend))
