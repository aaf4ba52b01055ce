"""README says what is so: its examples are run, its commands are all there, Start has two lines that work."""

from __future__ import annotations

import os
import re
import shlex
from pathlib import Path

import pytest
from click.testing import CliRunner

from stackopt.books.engine_text.engine_file import read_engine_file
from stackopt.choose.model.objectives import OBJECTIVES
from stackopt.cli import COMMANDS, main

ROOT = Path(__file__).resolve().parents[2]
README = ROOT / "README.md"
TEXT = README.read_text(encoding="utf-8")
EXAMPLE = re.compile(r"^```console\n\$ stackopt (?P<call>.*)\n(?P<output>(?:.*\n)*?)```$", re.MULTILINE)
EXAMPLES = {match["call"]: match["output"] for match in EXAMPLE.finditer(TEXT)}

# On a busy machine a solve may take long enough to say how far it is.
PROGRESS = re.compile(r"\d+ s: ")
LEFT_OUT = "[…]\n"


def said(call: str) -> str:
    result = CliRunner(env={"COLUMNS": "80"}).invoke(main, shlex.split(call))
    told = [line for line in result.stderr.splitlines() if not PROGRESS.match(line)]
    assert told == []
    return result.stdout


@pytest.mark.parametrize("call", EXAMPLES)
def test_an_example_comes_out_as_it_stands(call: str, monkeypatch: pytest.MonkeyPatch) -> None:
    """With STACKOPT_WRITE_README=1 the example is written anew instead, to be read before it is committed.

    Where an example stands for a part of what is printed, each of its parts must be there; those are written by hand.
    """
    monkeypatch.chdir(ROOT)
    output = said(call)
    if os.environ.get("STACKOPT_WRITE_README") and LEFT_OUT not in EXAMPLES[call]:
        before = README.read_text(encoding="utf-8")
        example = f"```console\n$ stackopt {call}\n"
        README.write_text(before.replace(f"{example}{EXAMPLES[call]}```", f"{example}{output}```"), encoding="utf-8")
        return
    *parts, last = EXAMPLES[call].split(LEFT_OUT)
    assert all(part in output for part in parts) if parts else output == last


def test_there_are_examples_of_fit_and_plan() -> None:
    assert {call.split()[0] for call in EXAMPLES} >= {"fit", "plan"}


@pytest.mark.parametrize("command", COMMANDS)
def test_every_command_is_documented(command: str) -> None:
    assert re.search(rf"^### `stackopt {command}`", TEXT, re.MULTILINE)


@pytest.mark.parametrize("objective", OBJECTIVES)
def test_every_objective_is_documented(objective: str) -> None:
    assert f"| `{objective}` |" in TEXT


def test_start_has_exactly_two_code_blocks_of_one_line() -> None:
    (start,) = re.findall(r"^## Start\n(.*?)^## ", TEXT, re.MULTILINE | re.DOTALL)
    blocks = re.findall(r"^```\w*\n(.*?)^```", start, re.MULTILINE | re.DOTALL)
    assert [block.count("\n") for block in blocks] == [1, 1]
    assert all(block.startswith("python3 -m venv .venv && ") for block in blocks)


def test_the_first_line_of_start_ends_in_an_answer(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(ROOT)
    (call,) = re.findall(r"\.venv/bin/stackopt (fit .*)$", TEXT, re.MULTILINE)
    assert "Proven best" in said(call)


def engine_file_blocks() -> list[str]:
    (section,) = re.findall(r"^## Engine files\n(.*?)^## ", TEXT, re.MULTILINE | re.DOTALL)
    return re.findall(r"^```toml\n(.*?)^```", section, re.MULTILINE | re.DOTALL)


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
