"""Spreadsheets that were dropped: how they were read, what is asked, what is wrong, what loading would change."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from flask import Blueprint, render_template, request, send_file, url_for
from msgspec.structs import replace
from werkzeug.wrappers import Response

from stackopt.books.facts.book_records import Books
from stackopt.books.out.marked_copy import write_marked_copy
from stackopt.books.out.mended_copy import write_mended_copy
from stackopt.books.out.stock_sheet import stock_sheet
from stackopt.books.words.roles import ROLES
from stackopt.books.words.vocabulary import Role
from stackopt.parts.part_records import Part
from stackopt.problems import InputError, Place, Problem
from stackopt.shop.ledger import first_differences
from stackopt.shop.loads.difference import Difference
from stackopt.web.desk.demonstration import load_demonstration
from stackopt.web.desk.room import note, once, room, said
from stackopt.web.dropping import pile as dropped
from stackopt.web.dropping.looks import first_rows
from stackopt.web.dropping.pile import Pile
from stackopt.web.dropping.reading import read_pile
from stackopt.web.pages.shelf import page as shelf_page
from stackopt.web.pages.shelf import supply_of

blueprint = Blueprint("dropped", __name__)
MOST_SHOWN = 300
KEPT_ASIDE = "nothing: keep it aside"


@blueprint.post("/shelf/drop")
def drop() -> Response | tuple[str, int]:
    """Take in dropped spreadsheets, and show how they are read."""
    files = request.files.getlist("books")
    try:
        return once(lambda: url_for("dropped.books", token=dropped.drop(room().folder, files).token))
    except InputError as error:
        return shelf_page(error.problems), 422


@blueprint.post("/demonstration")
def demonstration() -> Response:
    """Begin with the shop of the demonstration."""

    def act() -> str:
        load_demonstration(room().made_ledger(), note("the demonstration"))
        said("The demonstration is loaded: eight open engines, a shelf, three suppliers.", can_undo=False)
        return url_for("board.board")

    return once(act)


@blueprint.get("/shelf/dropped/<token>")
def books(token: str) -> str:
    """Show how dropped books were read."""
    return page(_pile(token))


def page(pile: Pile, problems: Sequence[Problem] = ()) -> str:
    """Return the page of dropped books, with what is wrong with the press that led here."""
    read = read_pile(pile, room().folder, _known_parts())
    found = _differences(read)
    return render_template(
        "dropped.html",
        pile=pile,
        read=read,
        looks=[(account, first_rows(account)) for account in read.sheets],
        headers=_headers_to_say(read),
        engines=[engine for engine in read.engines if not any(account.role is Role.ENGINES for account in read.sheets)],
        kept_aside=KEPT_ASIDE,
        file_name=lambda file: file.rpartition("/")[2],
        refused=[*read.refused, *read.problems],
        stopping=[question for question in read.questions if not question.concerns_rows],
        found=found[:MOST_SHOWN],
        more=max(0, len(found) - MOST_SHOWN),
        older=[difference for difference in found if difference.is_older],
        problems=problems,
    )


def _pile(token: str) -> Pile:
    return dropped.find_pile(room().folder, token)


def _known_parts() -> dict[str, Part]:
    return dict(supply_of(room().ledger).parts) if room().has_ledger else {}


def _differences(read: Books) -> tuple[Difference, ...]:
    """Return what loading would change."""
    compare = room().ledger.differences if room().has_ledger else first_differences
    return compare(read.supply, read.engines, stock_sheet(read), read.usage)


@blueprint.post("/shelf/dropped/<token>/answer")
def answer(token: str) -> Response | tuple[str, int]:
    """Take in answers to questions; those left open stay open."""
    pile = _pile(token)

    def act() -> str:
        _answer(pile)
        return url_for("dropped.books", token=token)

    return _acted(pile, act)


def _answer(pile: Pile) -> None:
    """Keep each answer that was given, and what it teaches of the layout."""
    read = read_pile(pile, room().folder, _known_parts())
    for number, question in enumerate(read.questions):
        text = request.form.get(f"other-{number}", "").strip() or request.form.get(f"answer-{number}", "").strip()
        # The number alone would answer another question where one was settled in between.
        if text and request.form.get(f"key-{number}") == question.settled_by(""):
            pile.answers.append((question.place.file, question.settled_by(text)))
    dropped.keep_said(pile)
    dropped.remember_layouts(read_pile(pile, room().folder, _known_parts()), pile, room().folder)


def _headers_to_say(read: Books) -> dict[str, list[str]]:
    """Return, by sheet, the headers that a column may be said to have.

    None for a sheet that is told from others by its file alone: what is said of a column names the sheet.
    """
    sheets = [account.place.sheet for account in read.sheets]
    known = {account.place.sheet: account for account in read.sheets if account.role is not None}
    return {
        sheet: sorted(ROLES[account.role].columns)
        for sheet, account in known.items()
        if account.role is not None and sheets.count(sheet) == 1 and (sheet or len(sheets) == 1)
    }


@blueprint.post("/shelf/dropped/<token>/columns")
def columns(token: str) -> Response | tuple[str, int]:
    """Take in what columns are, where they were taken for something else or kept aside."""
    pile = _pile(token)

    def act() -> str:
        said_of = [
            (sheet, int(column), "" if header == KEPT_ASIDE else header)
            for name, header in request.form.items()
            if name.startswith("column|") and header
            for _, column, sheet in [name.split("|", 2)]
        ]
        told = {(sheet, column): header for sheet, column, header in (*pile.columns, *said_of)}
        said_anew = Pile(pile.folder, pile.answers, [(*where, header) for where, header in told.items()])
        read = read_pile(said_anew, room().folder, _known_parts())
        dropped.keep_said(said_anew)
        dropped.remember_layouts(read, said_anew, room().folder)
        return url_for("dropped.books", token=token)

    return _acted(pile, act)


@blueprint.post("/shelf/dropped/<token>/mend")
def mend(token: str) -> Response | tuple[str, int]:
    """Put other texts into cells that could not be read."""
    pile = _pile(token)

    def act() -> str:
        for book in pile.books:
            mended = {
                (sheet, item): text
                for name, text in request.form.items()
                if name.startswith("cell|") and text.strip()
                for _, file, sheet, item in [name.split("|", 3)]
                if file == book.name
            }
            if mended:
                write_mended_copy(book, mended)
        return url_for("dropped.books", token=token)

    return _acted(pile, act)


@blueprint.get("/shelf/dropped/<token>/marked/<int:number>")
def marked(token: str, number: int) -> Response:
    """Give out a copy of a dropped book with its faults marked."""
    pile = _pile(token)
    if number >= len(pile.books):
        raise InputError(Problem(Place(), str(number), "one of the books that were dropped"))
    book = pile.books[number]
    read = read_pile(pile, room().folder, _known_parts())
    out = pile.folder / "marked" / f"{book.stem} marked.xlsx"
    out.parent.mkdir(exist_ok=True)
    write_marked_copy(book, out, [*read.refused, *read.problems], replace=True)
    return send_file(out.absolute(), as_attachment=True, download_name=out.name)


@blueprint.post("/shelf/dropped/<token>/load")
def load(token: str) -> Response | tuple[str, int]:
    """Store what was shown, all of it or nothing."""
    pile = _pile(token)

    def act() -> str:
        read = read_pile(pile, room().folder, _known_parts())
        stopping = [question for question in read.questions if not question.concerns_rows]
        if read.refused or stopping:
            raise InputError(Problem(Place(), "", "every whole sheet and column read or answered before it is loaded"))
        found = _differences(read)
        if str(len(found)) != request.form.get("changes"):
            again = "Look at what it would change now, then load it."
            raise InputError(Problem(Place(), "a shelf that has changed since", "the shelf as it was shown", again))
        named = request.form.getlist("older")
        wanted = [difference for difference in found if not difference.is_older or difference.name in named]
        names = ", ".join(pile.names)
        room().made_ledger().load(
            read.supply, replace(note(), why=names), read.engines, wanted, stock_sheet(read), used=read.usage
        )
        said(f"Loaded {names}: {len(wanted)} {'thing' if len(wanted) == 1 else 'things'} changed.")
        dropped.forget(pile)
        return _next_place(read)

    return _acted(pile, act)


def _next_place(read: Books) -> str:
    """Return where one goes on after loading: to what was loaded, or to the first engine where there is none yet."""
    if read.engines and not read.parts:
        alone = len(read.engines) == 1
        return url_for("engines.engine", name=read.engines[0].name) if alone else url_for("board.board")
    return url_for("shelf.shelf" if room().ledger.known_engines() else "board.board")


def _acted(pile: Pile, act: Callable[[], str]) -> Response | tuple[str, int]:
    try:
        return once(act)
    except InputError as error:
        return page(pile, error.problems), 422


@blueprint.post("/shelf/dropped/<token>/forget")
def forget(token: str) -> Response:
    """Throw away what was dropped; nothing of it was loaded."""
    pile = _pile(token)

    def act() -> str:
        dropped.forget(pile)
        said("Thrown away; nothing of it was loaded.", can_undo=False)
        return url_for("shelf.shelf")

    return once(act)
