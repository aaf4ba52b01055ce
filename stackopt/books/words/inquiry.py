"""Questions about one sheet: asked once, and not asked where the user has answered already.

A reader that is in doubt calls `Inquiry.ask`. The question's key names it within its sheet and stays the same from one
book of a layout to the next. The reader gets the user's answer, or None; then it leaves out what the question is about.

What is remembered counts only for what it was said of. An answer on a layout counts for every book of it, and of one
supplier where the book is a supplier's. An answer on certain rows counts for the same rows alone (`of`); of its
answers only those that are a rule for all such rows count for others too (`rules`).
"""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence

from msgspec import Struct, field

from stackopt.problems import Place, Question


class GivenAnswer(Struct, frozen=True):
    """An answer that the user gives now.

    `text` is ``KEY=ANSWER`` or ``SHEET!KEY=ANSWER``; `file` is the book that it is about, empty for any.
    """

    text: str
    file: str = ""


class Inquiry(Struct):
    """What was asked about one sheet, and what the user has answered.

    Parameters
    ----------
    place
        The sheet, or the file.
    remembered
        Answers of before, by key.
    given
        Answers of now.
    whose
        Whose list the sheet is, where another's may have the same headers.
    asked
        The questions that are open.
    taken
        Answers of now that settled a question here, as they are to be remembered; `settled` holds them as given.
    recalled
        Answers of before that settled a question here, by key.
    """

    place: Place = Place()
    remembered: Mapping[str, str] = field(default_factory=dict)
    given: Sequence[GivenAnswer] = ()
    whose: str = ""
    asked: list[Question] = field(default_factory=list)
    taken: dict[str, str] = field(default_factory=dict)
    settled: list[GivenAnswer] = field(default_factory=list)
    recalled: dict[str, str] = field(default_factory=dict)

    def ask(self, question: Question, of: str = "", rules: Collection[str] = ()) -> str | None:
        """Return the user's answer; None, and the question among `asked`, where none of his answers fits.

        Capitals do not count. Any text is an answer to an open question. `of` says of what else than the layout an
        answer is remembered; those among `rules` are remembered for the layout all the same.
        """
        said = self.answer(question.key, of, rules)
        spelled = {answer.casefold(): answer for answer in question.answers}
        if said is not None and (question.is_open or said.casefold() in spelled):
            answer = spelled.get(said.casefold(), said)
            self.take(question.key, "" if answer in rules else of)
            return answer
        self.put(question)
        return None

    def put(self, question: Question) -> None:
        """Note a question that is open, once."""
        if question not in self.asked:
            self.asked.append(question)

    def answer(self, key: str, of: str = "", rules: Collection[str] = ()) -> str | None:
        """Return what the user says to a question, as written; what he says now goes before what is remembered."""
        given = self._given(key)
        if given is not None:
            return given[1]
        exact = self._recalled(key, of)
        rule = self._recalled(key, "") if exact is None and rules else None
        return rule if rule in rules else exact

    def is_remembered(self, key: str) -> bool:
        """Tell whether the answer to a question is one of before, and none of now."""
        return self._given(key) is None and self._recalled(key, "") is not None

    def knows(self, key: str) -> bool:
        """Tell whether a question is asked here, or answered."""
        return self.answer(key) is not None or any(question.key == key for question in self.asked)

    def take(self, key: str, of: str = "") -> None:
        """Note that the answer to a question has settled it."""
        given = self._given(key)
        if given is not None:
            self.taken[_remembered_as(key, self.whose, of)] = given[1]
            self.settled.append(given[0])
        elif (recalled := self._recalled(key, of)) is not None:
            self.recalled[key] = recalled

    def _recalled(self, key: str, of: str) -> str | None:
        own = self.remembered.get(_remembered_as(key, self.whose, of))
        return self.remembered.get(_remembered_as(key, "", of)) if own is None else own

    def _given(self, key: str) -> tuple[GivenAnswer, str] | None:
        names = (f"{self.place.sheet}!{key}=", f"{key}=") if self.place.sheet else (f"{key}=",)
        for one in self.given:
            for name in names:
                if one.file in ("", self.place.file) and one.text.startswith(name):
                    return one, one.text[len(name) :].strip()
        return None


def _remembered_as(key: str, *of: str) -> str:
    return " of ".join((key, *(one for one in of if one)))
