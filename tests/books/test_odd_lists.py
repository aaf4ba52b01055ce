"""Odd lists are read as a careful person reads them: every fact, every question, every refusal, and no more."""

from __future__ import annotations

from pathlib import Path

import pytest

from stackopt.books.facts.read import examine_books
from stackopt.books.words.inquiry import GivenAnswer
from stackopt.books.words.remembered import keep_learned
from stackopt.problems import Question
from tests.books.odd_figures import BREAKS, FIGURES
from tests.books.odd_habits import ANSWERED, HABITS
from tests.books.odd_layouts import LAYOUTS
from tests.books.odd_lists import LISTS, OddList
from tests.books.odd_shapes import NOTES, SHAPES

ALL = LISTS | LAYOUTS | HABITS | FIGURES | SHAPES | NOTES


def test_there_are_sixty_lists() -> None:
    assert len(LISTS) >= 60


@pytest.mark.parametrize("odd", ALL.values(), ids=ALL)
def test_an_odd_list_is_read_as_a_careful_person_reads_it(tmp_path: Path, odd: OddList) -> None:
    path = tmp_path / "list.csv"
    path.write_text(odd.text, encoding=odd.encoding)
    books = examine_books([path])
    assert tuple(question.place.item for question in books.questions) == odd.asked
    assert tuple(problem.place.item for problem in (*books.refused, *books.problems)) == odd.refused
    if not all(question.concerns_rows for question in books.questions):
        assert odd.shelf == odd.offered == {}
        return
    shelf = {part: (books.parts[part].thickness_mm, line.on_hand) for part, line in books.stock.items()}
    assert shelf == {part: (pytest.approx(mm), count) for part, (mm, count) in odd.shelf.items()}
    offers = [offer for lines in books.offer_lines for offer in lines.offers(set(books.parts))]
    assert {offer.part: (offer.tiers[0].price_cents, offer.lead_days) for offer in offers} == odd.offered


@pytest.mark.parametrize(("headers", "figures", "tiers"), BREAKS.values(), ids=BREAKS)
def test_price_breaks_stand_in_pairs_of_columns(
    tmp_path: Path, headers: str, figures: str, tiers: tuple[int, ...]
) -> None:
    path = tmp_path / "list.csv"
    described = "supplier,part number,kind,fits,thickness (mm),lead days", "Varnik,BG-1,base gasket,KV82,0.4,5"
    path.write_text("".join(f"{one},{own}\n" for one, own in zip(described, (headers, figures), strict=True)))
    books = examine_books([path])
    assert books.questions == ()
    (offer,) = (offer for lines in books.offer_lines for offer in lines.offers({"BG-1"}))
    assert tuple(value for tier in offer.tiers for value in (tier.from_packs, tier.price_cents)) == tiers


@pytest.mark.parametrize("name", ANSWERED)
def test_the_answers_to_what_is_asked_settle_it_and_are_remembered(tmp_path: Path, name: str) -> None:
    text, answers, expected = ANSWERED[name]
    path = tmp_path / "list.csv"
    path.write_text(text, encoding="utf-8")
    assert examine_books([path]).questions
    keep_learned(examine_books([path], answers=[GivenAnswer(answer) for answer in answers]).learned)
    books = examine_books([path])
    assert (books.questions, books.refused, books.problems) == ((), (), ())
    offers = [offer for lines in books.offer_lines for offer in lines.offers({"BG-1"})]
    said = [books.parts["BG-1"], books.stock.get("BG-1"), *(offer.tiers[0] for offer in offers)]
    assert {key: next(getattr(one, key) for one in said if hasattr(one, key)) for key in expected} == expected


def test_every_listed_answer_settles_its_question_now_and_from_then_on(tmp_path: Path) -> None:
    """One question of each sort; an answer that is refused, or that leaves its question open, would be a dead end."""
    asked: set[tuple[str, str]] = set()
    for number, odd in enumerate(ALL.values()):
        for question in _questions(tmp_path / f"{number}", odd):
            sort = (question.key.partition(" ")[0], question.expected[:30])
            if sort in asked:
                continue
            asked.add(sort)
            for place, answer in enumerate(question.answers):
                path = _written(tmp_path / f"{number} {place}", odd)
                given = GivenAnswer(question.settled_by(answer))
                keep_learned(examine_books([path], answers=[given]).learned)
                assert (question.key, answer) not in [(one.key, answer) for one in examine_books([path]).questions]
    assert len(asked) >= 50


def _written(folder: Path, odd: OddList) -> Path:
    folder.mkdir(exist_ok=True)
    (folder / "list.csv").write_text(odd.text, encoding=odd.encoding)
    (folder / "columns.toml").unlink(missing_ok=True)
    return folder / "list.csv"


def _questions(folder: Path, odd: OddList) -> tuple[Question, ...]:
    return examine_books([_written(folder, odd)]).questions
