"""The guide's topic on Python says what is so: its examples run, mypy passes them, its columns are the tables'."""

from __future__ import annotations

import re
import subprocess
import sys
import warnings
from pathlib import Path

import pytest

from stackopt.guide import topic_text
from stackopt.tables.frames import TABLES
from tests.full import whole_run

ROOT = Path(__file__).resolve().parents[2]
EXAMPLES = re.findall(r"^```python\n(.*?)^```", topic_text("python"), re.MULTILINE | re.DOTALL)


def test_the_examples_run_one_after_the_other(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """`stackopt.stocking` is left to `test_the_package_gives_what_it_says`: see there."""
    monkeypatch.chdir(ROOT)
    names: dict[str, object] = {}
    with warnings.catch_warnings():
        warnings.simplefilter("error")
        for example in EXAMPLES:
            exec(compile(example, "guide", "exec"), names)
    assert "proven" in capsys.readouterr().out
    assert [name for name in ("answer", "fitted", "by_budget", "ordered") if name not in names] == []


@whole_run
def test_mypy_finds_nothing_in_the_examples(tmp_path: Path) -> None:
    path = tmp_path / "examples.py"
    path.write_text("".join(EXAMPLES), encoding="utf-8")
    call = [sys.executable, "-m", "mypy", "--config-file", str(ROOT / "pyproject.toml"), "--strict", str(path)]
    done = subprocess.run(call, cwd=ROOT, capture_output=True, text=True, check=False)
    assert (done.returncode, done.stdout) == (0, "Success: no issues found in 1 source file\n")


def test_every_column_of_every_table_is_explained() -> None:
    headings = re.split(r"^### ", topic_text("python"), flags=re.MULTILINE)[1:]
    explained = [re.findall(r"^- `(\w+)` \(", heading, re.MULTILINE) for heading in headings]
    assert explained == [list(columns) for columns in TABLES.values()]
