"""Odd lists are read as a careful person reads them: every fact, every question, every refusal, and no more."""

from __future__ import annotations

from pathlib import Path

import pytest

from stackopt.books.facts.read import examine_books
from stackopt.books.words.inquiry import GivenAnswer
from stackopt.books.words.remembered import keep_learned
from tests.books.odd_habits import ANSWERED, HABITS
from tests.books.odd_layouts import LAYOUTS
from tests.books.odd_lists import LISTS, OddList


def test_there_are_sixty_lists() -> None:
    assert len(LISTS) >= 60


@pytest.mark.parametrize("odd", [*LISTS.values(), *LAYOUTS.values(), *HABITS.values()], ids=[*LISTS, *LAYOUTS, *HABITS])
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
