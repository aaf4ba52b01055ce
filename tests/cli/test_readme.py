"""README and the guide say what is so: examples are run, all commands are there, Start has two lines that work."""

from __future__ import annotations

import os
import re
import shlex
from contextlib import chdir
from functools import cache
from pathlib import Path

import pytest
from click.testing import CliRunner

from stackopt.books.engine_text.engine_file import read_engine_file
from stackopt.choose.model.objectives import OBJECTIVES
from stackopt.cli import COMMANDS, main
from stackopt.guide import TOPICS

ROOT = Path(__file__).resolve().parents[2]
README = ROOT / "README.md"
GUIDE = ROOT / "stackopt" / "guide"
TEXTS = {path: path.read_text(encoding="utf-8") for path in (README, *sorted(GUIDE.glob("*.md")))}
EXAMPLE = re.compile(r"^```console\n\$ stackopt (?P<call>.*)\n(?P<output>(?:.*\n)*?)```$", re.MULTILINE)
EXAMPLES = {(path, match["call"]): match["output"] for path, text in TEXTS.items() for match in EXAMPLE.finditer(text)}

# On a busy machine a solve may take long enough to say how far it is.
PROGRESS = re.compile(r"\d+ s: ")
LEFT_OUT = "[…]\n"


@cache
def said(call: str) -> str:
    """What a call prints, run in the root of the repository; it says nothing on standard error."""
    with chdir(ROOT):
        result = CliRunner(env={"COLUMNS": "80"}).invoke(main, shlex.split(call))
    told = [line for line in result.stderr.splitlines() if not PROGRESS.match(line)]
    assert told == []
    return result.stdout


@pytest.mark.parametrize(("path", "call"), EXAMPLES, ids=[f"{path.stem}: {call[:60]}" for path, call in EXAMPLES])
def test_an_example_comes_out_as_it_stands(path: Path, call: str) -> None:
    """With STACKOPT_WRITE_README=1 the example is written anew instead, to be read before it is committed.

    Where an example stands for a part of what is printed, each of its parts must be there; those are written by hand.
    """
    stated = EXAMPLES[path, call]
    output = said(call)
    if os.environ.get("STACKOPT_WRITE_README") and LEFT_OUT not in stated:
        before = path.read_text(encoding="utf-8")
        example = f"```console\n$ stackopt {call}\n"
        path.write_text(before.replace(f"{example}{stated}```", f"{example}{output}```"), encoding="utf-8")
        return
    *parts, last = stated.split(LEFT_OUT)
    assert all(part in output for part in (*parts, last)) if parts else output == last


def test_there_are_examples_of_fit_and_plan() -> None:
    assert {call.split()[0] for _, call in EXAMPLES} >= {"check", "fit", "plan", "restock"}


@pytest.mark.parametrize("command", COMMANDS)
def test_every_command_is_documented(command: str) -> None:
    """Each command has a topic of the guide by its name; the guide itself is told of in README."""
    assert command == "guide" or TEXTS[GUIDE / f"{command}.md"].startswith(f"# `stackopt {command}`")


@pytest.mark.parametrize("objective", OBJECTIVES)
def test_every_objective_is_documented(objective: str) -> None:
    assert f"| `{objective}` |" in TEXTS[GUIDE / "fit.md"]


def test_start_has_exactly_two_code_blocks_of_one_line() -> None:
    (start,) = re.findall(r"^## Start\n(.*?)^## ", TEXTS[README], re.MULTILINE | re.DOTALL)
    blocks = re.findall(r"^```\w*\n(.*?)^```", start, re.MULTILINE | re.DOTALL)
    assert [block.count("\n") for block in blocks] == [1, 1]
    assert all(block.startswith("python3 -m venv .venv && ") for block in blocks)


def test_the_first_line_of_start_ends_in_an_answer() -> None:
    (call,) = re.findall(r"\.venv/bin/stackopt (fit .*)$", TEXTS[README], re.MULTILINE)
    assert "Proven best" in said(call)


def test_readme_is_short() -> None:
    """A newcomer reads two pages; all else is the guide's."""
    assert len(TEXTS[README].splitlines()) <= 200


def test_the_guide_lists_and_prints_every_topic() -> None:
    assert {path.stem for path in TEXTS if path.parent == GUIDE} == set(TOPICS)
    listed = said("guide")
    assert all(f"  {topic} " in listed for topic in TOPICS)
    assert said("guide engine-files") == TEXTS[GUIDE / "engine-files.md"]


def test_readme_and_the_guide_name_only_topics_that_there_are() -> None:
    named = {name for text in TEXTS.values() for name in re.findall(r"stackopt guide ([a-z-]+)", text)}
    assert named <= set(TOPICS)
    rows = re.findall(r"^\| (`[a-z-]+`(?:, `[a-z-]+`)*) \|", TEXTS[README], re.MULTILINE)
    assert sorted(re.findall(r"`([a-z-]+)`", " ".join(rows))) == sorted(TOPICS)


def engine_file_blocks() -> list[str]:
    return re.findall(r"^```toml\n(.*?)^```", TEXTS[GUIDE / "engine-files.md"], re.MULTILINE | re.DOTALL)


@pytest.mark.parametrize("block", engine_file_blocks()[1:])
def test_every_table_shown_of_an_engine_file_is_read_as_it_stands(block: str, tmp_path: Path) -> None:
    """Tables of a cylinder go behind the whole engine file shown first, in place of the single value; others before."""
    whole = engine_file_blocks()[0]
    if block.startswith("[[cylinder."):
        single = "bore" if "bore_reading" in block else "deck"
        last = whole.rindex(f"{single} = ")
        text = whole[:last] + whole[last:].split("\n", 1)[1] + block
    else:
        text = whole.replace("[[cylinder]]", f"{block}\n[[cylinder]]", 1)
    path = tmp_path / "engine.toml"
    path.write_text(text, encoding="utf-8")
    assert [cylinder.name for cylinder in read_engine_file(path).cylinders] == ["front", "rear"]
