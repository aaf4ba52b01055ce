"""An outlook file is read, and what is wrong in it is told with its place."""

from __future__ import annotations

from pathlib import Path

import pytest

from stackopt.books.outlook.outlook_file import read_outlook_file
from stackopt.problems import InputError
from stackopt.stocking.range.outlook import BoreStep, Deck
from tests.stocking.engines_to_come import twin

PATTERN = """
engine = "any"
family = "KV82"
stroke = "78 mm"

[[cylinder]]
name = "front"
bore = "82 mm"
deck = "0.10 mm proud"
"""
WHOLE = """
engines = 12
scenarios = 40
seed = 0
budget = "1,200.50"

[[family]]
family = "KV82"
share = 5
like = "kv82.toml"
deck_mean = "0.08 mm proud"
deck_spread = "4 thou"

[[family.bore]]
oversize = "0.50 mm"
share = 0.3

[[family]]
family = "PT72"
share = 2
"""
PAST = tuple(twin("PT72") for _ in range(3))


def write(folder: Path, text: str) -> Path:
    (folder / "kv82.toml").write_text(PATTERN)
    (folder / "season.toml").write_text(text)
    return folder / "season.toml"


def problems_of(folder: Path, text: str) -> list[str]:
    with pytest.raises(InputError) as raised:
        read_outlook_file(write(folder, text), PAST)
    return [str(problem).removeprefix(f"{folder}/season.toml, ") for problem in raised.value.problems]


def test_everything_that_it_says_is_read(tmp_path: Path) -> None:
    """0.08 mm proud is -0.08; 4 thou = 4 · 0.0254 = 0.1016 mm exactly (16 CFR 500.19)."""
    stated = read_outlook_file(write(tmp_path, WHOLE), PAST)
    assert stated.budget_cents == 120_050
    assert (stated.outlook.engines, stated.outlook.scenarios, stated.outlook.seed) == (12, 40, 0)
    twins, parallel = stated.outlook.families
    assert (twins.family, twins.share, twins.bores) == ("KV82", 5.0, (BoreStep(0.5, 0.3),))
    assert twins.deck == Deck(-0.08, pytest.approx(0.1016))
    assert [engine.name for engine in twins.patterns] == ["any"]
    assert parallel.patterns == PAST
    assert parallel.deck is None


def test_a_family_needs_a_pattern_or_enough_past_engines(tmp_path: Path) -> None:
    (told,) = problems_of(tmp_path, '[[family]]\nfamily = "SV95"\nshare = 1\n')
    assert told == (
        "family[1].like: found '0 past engines of SV95', expected an engine to be like, or 3 past engines of the "
        'family in the books. Add like = "an engine file", deck_mean and deck_spread.'
    )


def test_one_engine_does_not_tell_how_decks_scatter(tmp_path: Path) -> None:
    (told,) = problems_of(tmp_path, '[[family]]\nfamily = "KV82"\nshare = 1\nlike = "kv82.toml"\n')
    assert told.startswith("family[1].deck_mean: expected mean and spread of the decks beside `like`")


def test_mean_and_spread_go_together(tmp_path: Path) -> None:
    text = '[[family]]\nfamily = "PT72"\nshare = 1\ndeck_mean = "0.1 mm below"\n'
    assert problems_of(tmp_path, text) == [
        "family[1].deck_spread: expected deck_spread beside deck_mean. Add the line, or take the other out."
    ]


@pytest.mark.parametrize(
    ("line", "told"),
    [
        ('deck_mean = "-0.1 mm"', "family[1].deck_mean"),
        ("share = 0", "family[1].share: found '0', expected a share greater than 0"),
        ('colour = "red"', "family[1].colour: found 'colour', expected a key known here."),
        ('like = "nowhere.toml"', "nowhere.toml: expected an engine file that can be opened."),
    ],
)
def test_each_fault_is_told_with_its_key(tmp_path: Path, line: str, told: str) -> None:
    known = {"share": "share = 1", "deck_spread": 'deck_spread = "0.1 mm"', "deck_mean": 'deck_mean = "0.1 mm below"'}
    known[line.split(" = ", maxsplit=1)[0]] = line
    lines = "\n".join(known.values())
    assert any(told in each for each in problems_of(tmp_path, f'[[family]]\nfamily = "PT72"\n{lines}\n'))


@pytest.mark.parametrize("amount", ['"twelve"', "0", '"-5"', "true"])
def test_a_budget_is_an_amount_greater_than_nothing(tmp_path: Path, amount: str) -> None:
    told = problems_of(tmp_path, f'budget = {amount}\n[[family]]\nfamily = "PT72"\nshare = 1\n')
    assert told[0].startswith("budget: found")


def test_a_file_without_families_says_what_to_add(tmp_path: Path) -> None:
    assert problems_of(tmp_path, "engines = 3\n") == [
        "family: expected one [[family]] table for each family, with family and share. Add the lines."
    ]


def test_a_book_names_the_engines_it_holds(tmp_path: Path) -> None:
    (tmp_path / "past.csv").write_text(
        "Engine,Family,Cylinder,Bore (mm),Stroke (mm),Deck (mm),Deck side\nPT-1,PT72,left,72,80,0.1,below\n"
    )
    decks = 'deck_mean = "0.1 mm below"\ndeck_spread = "0.1 mm"'
    text = f'[[family]]\nfamily = "PT72"\nshare = 1\n{decks}\nlike = "past.csv:{{}}"\n'
    assert problems_of(tmp_path, text.format("PT-9"))[0].endswith("That book holds PT-1.")
    (family,) = read_outlook_file(write(tmp_path, text.format("PT-1")), ()).outlook.families
    assert family.patterns[0].cylinders[0].bore_mm == 72
