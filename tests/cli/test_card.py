"""The card from the command line: where its code leads."""

from __future__ import annotations

from pathlib import Path

import pytest
from click.testing import CliRunner

from stackopt.cli import main

ROOT = Path(__file__).resolve().parents[2]
SHOP = ROOT / "scenarios" / "whole-shop" / "shop.xlsx"


def card(out: Path, address: str) -> tuple[int, str]:
    words = ["card", f"{SHOP}:HC-11", str(out), "--book", str(SHOP), "--today", "2027-02-01", "--address", address]
    result = CliRunner().invoke(main, words)
    return result.exit_code, result.output


@pytest.mark.parametrize(
    "address", ["http://shop.local:8095", "http://shop.local:8095/", "shop.local:8095", " shop.local:8095 "]
)
def test_the_code_leads_to_the_page_of_the_engine(tmp_path: Path, address: str) -> None:
    """A telephone opens only what says how: the scheme is put in front where it is left out."""
    out = tmp_path / "card.html"
    assert card(out, address)[0] == 0
    assert "Code that opens http://shop.local:8095/engines/HC-11" in out.read_text(encoding="utf-8")


@pytest.mark.parametrize("address", ["ftp://shop.local", "the page", "http://", "javascript:alert(1)"])
def test_what_is_no_address_of_a_page_is_refused(tmp_path: Path, address: str) -> None:
    code, said = card(tmp_path / "card.html", address)
    assert code == 2
    assert "no address of a page" in said
    assert not (tmp_path / "card.html").exists()
