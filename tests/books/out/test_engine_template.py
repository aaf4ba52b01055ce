"""The engine file to fill in is an engine file: it is read as it stands, in either unit, and is the same engine."""

from __future__ import annotations

from pathlib import Path

import pytest

from stackopt.books.engine_text.engine_file import read_engine_file
from stackopt.books.out.engine_template import UNITS, write_engine_template
from stackopt.problems import InputError


@pytest.mark.parametrize("units", UNITS)
def test_it_is_read_as_it_stands(units: str, tmp_path: Path) -> None:
    path = tmp_path / "engine.toml"
    write_engine_template(path, units, replace=False)
    engine = read_engine_file(path)
    assert [cylinder.name for cylinder in engine.cylinders] == ["front", "rear"]
    assert [cylinder.deck_height_mm for cylinder in engine.cylinders] == pytest.approx([-0.11, 0.13], abs=0.006)


@pytest.mark.parametrize("units", UNITS)
def test_what_is_commented_out_is_read_too(units: str, tmp_path: Path) -> None:
    path = tmp_path / "engine.toml"
    write_engine_template(path, units, replace=False)
    text = path.read_text(encoding="utf-8").replace("# due", "due")
    path.write_text(text, encoding="utf-8")
    assert str(read_engine_file(path).due) == "2027-03-19"


def test_comments_stand_in_one_column(tmp_path: Path) -> None:
    path = tmp_path / "engine.toml"
    write_engine_template(path, "inch", replace=False)
    behind = [line.rindex("  #") + 2 for line in path.read_text(encoding="utf-8").splitlines() if "  #" in line]
    assert len(behind) > 8
    assert set(behind) == {30}


def test_a_file_that_stands_there_is_kept(tmp_path: Path) -> None:
    path = tmp_path / "engine.toml"
    path.write_text("mine", encoding="utf-8")
    with pytest.raises(InputError, match="a new file name"):
        write_engine_template(path, "mm", replace=False)
    assert path.read_text(encoding="utf-8") == "mine"
