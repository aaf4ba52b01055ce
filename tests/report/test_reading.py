"""A page of the guide on the terminal: headings, bullets and code without the signs that mark them."""

from __future__ import annotations

import pytest

from stackopt.report.reading import markdown_page


def test_marks_of_the_text_become_layout(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("COLUMNS", "60")
    monkeypatch.setenv("NO_COLOR", "1")
    page = markdown_page("# Books\n\nA *price list* has `price`.\n\n- first\n- second\n\n```\nstackopt check\n```\n")
    said = [line.strip() for line in page.splitlines() if line.strip()]
    assert any("Books" in line and "#" not in line for line in said)
    assert "A price list has price." in said
    assert [line for line in said if line.startswith("•")] == ["• first", "• second"]
    assert any("stackopt check" in line for line in said)
    assert "`" not in page
    assert max(map(len, page.splitlines())) <= 60
