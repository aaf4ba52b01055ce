"""Books that nobody here made and that lie on this machine: templates of LibreOffice, tables of installed packages.

Those that public packages carry in their source distributions are a command: `tests.books.odd_books`.
"""

from __future__ import annotations

import sysconfig
from pathlib import Path

import pytest

from tests.books.odd_books import checked

OFFICE = Path("/usr/lib/libreoffice/share/template")
INSTALLED = Path(sysconfig.get_paths()["purelib"])
AT_HAND = [*sorted(OFFICE.rglob("*.ots"))[:3], *sorted(INSTALLED.rglob("*.csv"))[:6]]


@pytest.mark.skipif(not AT_HAND, reason="no workbook of other people lies on this machine")
@pytest.mark.parametrize("path", AT_HAND, ids=lambda path: path.name)
def test_a_book_of_other_people_gives_facts_or_a_clear_message(path: Path) -> None:
    result = checked(path)
    assert result.fault == ""
    assert result.outcome == "facts" or path.name in result.words


def test_what_must_not_be_is_seen(tmp_path: Path) -> None:
    """A call that ends otherwise than `check` may is a fault, so the test above can fail."""
    assert checked(tmp_path / "--no-such-option").outcome == "message"
    assert "exit code 2" in checked(Path("--no-such-option")).fault
