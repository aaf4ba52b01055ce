"""Help is the same everywhere: -h, examples at the foot, the nearest name where one is mistyped."""

from __future__ import annotations

from collections.abc import Iterator

import click
import pytest
from click.testing import CliRunner

from stackopt.cli import COMMANDS, main


def all_commands() -> Iterator[tuple[str, ...]]:
    """Every command and command of a group, as words behind `stackopt`."""
    context = click.Context(main)
    for name in COMMANDS:
        command = main.get_command(context, name)
        yield (name,)
        if isinstance(command, click.Group):
            yield from ((name, inner) for inner in command.list_commands(context))


@pytest.mark.parametrize("words", list(all_commands()), ids=" ".join)
def test_h_is_help_and_shows_no_marks(words: tuple[str, ...]) -> None:
    short, long = (CliRunner().invoke(main, [*words, option]) for option in ("-h", "--help"))
    assert (short.exit_code, short.output) == (0, long.output)
    assert short.output.startswith("Usage: ")
    assert "\\b" not in short.output
    assert "\b" not in short.output


@pytest.mark.parametrize(
    ("words", "meant"),
    [
        (["fti"], "fit"),
        (["re-stock"], "restock"),
        (["temp"], "template"),
        (["shop", "recieve"], "receive"),
        (["shop", "stok"], "stock"),
        (["guide", "engin"], "engine-files"),
        (["guide", "Plan"], "plan"),
    ],
)
def test_a_mistyped_name_gets_the_nearest_one(words: list[str], meant: str) -> None:
    result = CliRunner().invoke(main, words)
    assert result.exit_code == 2
    assert f"Did you mean '{meant}'?" in result.stderr


def test_a_name_that_is_near_none_gets_all_of_them() -> None:
    result = CliRunner().invoke(main, ["xyzzy"])
    assert result.exit_code == 2
    assert f"The commands: {', '.join(COMMANDS)}." in result.stderr


def test_a_mistyped_option_gets_the_nearest_one() -> None:
    result = CliRunner().invoke(main, ["fit", "x.toml", "--prefr", "spend"])
    assert result.exit_code == 2
    assert "--prefer" in result.stderr
