"""The package carries what it needs wherever it lies: a folder, a zip file, a source distribution."""

from __future__ import annotations

import os
import subprocess
import sys
import tarfile
import zipfile
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[1]
# A list with the free thickness alone: the installed one needs the material table of `catalogs/`.
FREE = "part number,kind,fits,free thickness (mm),material,on hand\nBG-1,base gasket,KV82,0.5,paper,2\n"


@pytest.fixture(scope="module")
def built(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The folder with the wheel and the source distribution, built from this tree."""
    out = tmp_path_factory.mktemp("built")
    call = [sys.executable, "-m", "build", "--no-isolation", "--outdir", str(out), str(ROOT)]
    subprocess.run(call, check=True, capture_output=True)
    return out


def run(where: Path, folder: Path, *words: str) -> str:
    """What the program says, imported from `where` and from nowhere else."""
    program = (
        f"import sys; sys.path.insert(0, {str(where)!r}); import stackopt; print(stackopt.__file__, file=sys.stderr)"
    )
    program += "; import stackopt; print(stackopt.__file__, file=sys.stderr); from stackopt.cli import main; main()"
    alone = {name: value for name, value in os.environ.items() if name != "PYTHONPATH"}
    call = [sys.executable, "-c", program, *words]
    done = subprocess.run(call, cwd=folder, env=alone, capture_output=True, text=True, check=True)
    assert done.stderr.startswith(str(where))
    return done.stdout


def test_a_zip_file_is_enough(built: Path, tmp_path: Path) -> None:
    (wheel,) = built.glob("*.whl")
    (tmp_path / "stock.csv").write_text(FREE, encoding="utf-8")
    assert "No problems." in run(wheel, tmp_path, "check", "stock.csv")
    assert run(wheel, tmp_path, "guide", "books").startswith("# Books")


def test_a_folder_is_enough(built: Path, tmp_path: Path) -> None:
    """As pip's --target and --user lay it down."""
    (wheel,) = built.glob("*.whl")
    target = tmp_path / "target"
    with zipfile.ZipFile(wheel) as archive:
        archive.extractall(target)
    (tmp_path / "stock.csv").write_text(FREE, encoding="utf-8")
    assert "No problems." in run(target, tmp_path, "check", "stock.csv")
    assert run(target, tmp_path, "--version").endswith("version 0.1.0\n")
    assert (target / "stackopt" / "py.typed").is_file()


def test_the_source_distribution_has_all_that_its_tests_need(built: Path) -> None:
    (source,) = built.glob("*.tar.gz")
    with tarfile.open(source) as archive:
        names = {name.partition("/")[2] for name in archive.getnames()}
    assert {"README.md", "DEVELOPERS.md", "catalogs/materials.csv", "scenarios/README.md"} <= names
    kept = subprocess.run(["git", "ls-files"], cwd=ROOT, capture_output=True, text=True, check=False)
    if kept.returncode == 0:  # elsewhere, as in an unpacked source distribution, there is no list to compare with
        assert [name for name in kept.stdout.splitlines() if not name.startswith(".") and name not in names] == []
    assert [name for name in names if name.startswith((".venv", ".git/"))] == []


def test_what_is_uploaded_is_well_described(built: Path) -> None:
    call = [sys.executable, "-m", "twine", "check", "--strict", *map(str, built.iterdir())]
    assert subprocess.run(call, capture_output=True, text=True, check=False).returncode == 0
