"""What is printed of a range to keep: what to keep, buy and sell off, what it builds, and how sure that is."""

from __future__ import annotations

from msgspec.structs import replace
from rich.console import Console

from stackopt.choose.choice_records import Status
from stackopt.report.range.page import range_text
from stackopt.stocking.range.range_records import Proof, RangeAnswer
from tests.report import answers
from tests.report.range.valued import ANSWER, BOUGHT, IDLE, LEFT, TODAY, valued


def text(answer: RangeAnswer, width: int = 600) -> str:
    return range_text(Console(width=width, highlight=False), answer, answers.PARTS, answers.TODAY)


def lines(answer: RangeAnswer) -> list[str]:
    return [" ".join(line.split()) for line in text(answer).splitlines()]


def following(answer: RangeAnswer, head: str, count: int) -> list[str]:
    """Return so many lines after a heading and the two lines of its table's head."""
    said = lines(answer)
    first = said.index(head) + 3
    return said[first : first + count]


def test_the_page_begins_with_the_money_the_day_and_the_share_built() -> None:
    """The budget is 100.00; 0.80 is 80 of 100."""
    first = "The range to keep for 100.00, 1 Feb 2027: 80 % of the engines to come are built from the shelf"
    assert lines(ANSWER)[0] == first


def test_the_engines_to_come_are_told_with_their_shares_and_how_they_were_drawn() -> None:
    """Weights of 3 and 1 are 75 and 25 of 100."""
    said = lines(ANSWER)[1]
    assert said.startswith("Engines to come: A 75 %, C 25 %; 12 before the shelf is filled again.")
    assert said.endswith("40 draws of them, seed 7.")


def test_each_part_to_keep_says_what_lies_here_and_what_is_bought() -> None:
    """Seven kept of which three lie here are two packs of 2; four pieces of 4.50 are 18.00. 6.25 is printed as 6.2."""
    assert following(ANSWER, "To keep", 3) == [
        "B40 base gasket, 0.40 mm 7 3 2 packs of 2, North, 18.00 6.2",
        "H32 head gasket, 0.813 mm 2 2 2.0",
        "To buy: 18.00, freight not counted.",
    ]


def test_single_pieces_are_bought_without_a_word_of_packs() -> None:
    """Three kept, two here: one piece of 19.00."""
    answer = replace(ANSWER, parts=(replace(LEFT, keep=3),))
    assert following(answer, "To keep", 2) == [
        "H32 head gasket, 0.813 mm 3 2 1, South, 19.00 2.0",
        "To buy: 19.00, freight not counted.",
    ]


def test_where_all_lies_here_nothing_is_bought() -> None:
    assert following(replace(ANSWER, parts=(LEFT,)), "To keep", 2)[1] == "Nothing to buy."


def test_what_is_not_worth_its_money_is_to_be_sold_off() -> None:
    """All four H60 at 16.40 are 65.60."""
    sold = following(ANSWER, "To sell off, or not to fill up again", 1)
    assert sold == ["H60 head gasket, 0.60 mm 4 4 65.60 0.4"]
    assert "To sell off, or not to fill up again" not in lines(replace(ANSWER, parts=(BOUGHT, LEFT)))


def test_where_no_range_builds_an_engine_that_is_said() -> None:
    said = lines(replace(ANSWER, parts=(IDLE,)))
    assert "Nothing to keep: no range for this money builds an engine" in said
    assert "To keep" not in said


def test_the_range_stands_beside_todays_shelf_and_two_rules() -> None:
    """80 less 65 is 15 points, 80 less 79 one; the interval of 0.05 is ± 2.5 points."""
    beside = following(ANSWER, "What it builds, beside today's shelf and two simple rules for the same money", 5)
    assert beside == [
        "this one 69.50 80 % ± 2.5",
        "today's shelf 90.00 65 % ± 2.5 15 points fewer",
        "equal numbers of every thickness 99.00 79 % ± 2.5 1 point fewer",
        "the commonest needs first 99.50 80 % ± 2.5 as many",
        "every part without end 95 % what no money passes",
    ]


def test_a_rule_that_builds_more_says_so() -> None:
    """84 is 4 points more than 80."""
    assert "the commonest needs first 99.50 84 % ± 2.5 4 points more" in lines(
        replace(ANSWER, commonest=valued(9950, 0.84))
    )


def test_the_curve_says_what_a_further_hundred_brings() -> None:
    """From 50.00 to 69.50 ten points for 19.50: 51.3 for 100.00; then ten for 50.00, 20.0 for 100.00: 0.2 for 1.00."""
    assert following(ANSWER, "More money, less money", 4) == [
        "50.00 70 % ± 2.5 51.3 points",
        "69.50 80 % ± 2.5 20.0 points",
        "119.50 90 % ± 2.5",
        "From here each 1.00 more brings 0.20 more of 100 engines, up to the next line.",
    ]


def test_the_end_of_the_curve_says_that_nothing_dearer_builds_more() -> None:
    assert "No dearer range was found that builds more." in lines(replace(ANSWER, curve=ANSWER.curve[:2]))


def test_a_proof_says_what_it_rests_on() -> None:
    said = lines(ANSWER)[-1]
    assert said.startswith("Proven:")
    assert "in the 40 draws by which it was chosen, it builds 82 %" in said
    assert "fresh draws, ± their 95 % interval" in said
    assert "--scenarios" not in said
    assert "95 % confidence" not in said


def test_what_is_not_proven_says_what_no_range_passes() -> None:
    """A limit of 0.031 is 3.1 points, over 6 sets of draws."""
    said = lines(replace(ANSWER, proof=Proof(Status.BEST_FOUND, 0.82, 0.87, 0.031, 6)))[-1]
    assert said.startswith("Best found, not proven:")
    assert "it builds 82 %; no range for the money passes 87 %." in said
    assert "builds at most 3.1 points more (95 % confidence, 6 further sets of draws)." in said


def test_a_range_that_fits_its_own_draws_only_asks_for_more_of_them() -> None:
    """86 in its own draws, 80 in fresh ones: 6 points, over the 5 that are borne."""
    said = lines(replace(ANSWER, proof=Proof(Status.PROVEN, 0.86, 0.86, None, 0)))[-1]
    assert "the draws by which it was chosen are too few: take more, --scenarios." in said


def test_no_line_is_wider_than_80_columns() -> None:
    assert max(map(len, text(replace(ANSWER, today=TODAY), 80).splitlines())) <= 80
