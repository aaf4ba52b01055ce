"""A shop of two branches to test with: the situation of `situations` at Mill Street, two days from Nordkai."""

from __future__ import annotations

from datetime import date

from stackopt.choose.choice_records import Use
from stackopt.parts.part_records import StockLine, Supply
from stackopt.shop.ledger import Ledger
from stackopt.shop.places.naming import NamedBranch
from stackopt.shop.places.transfers import Sent, Wanted
from tests.shop.situations import ANA, HEAD, PARTS, SHOP, THIN, TODAY, asked, choice_of, fitted, twin

MAIN, OTHER = "Mill Street", "Nordkai"
# What the stock list of Nordkai says.
AT_OTHER = Supply(PARTS, {"HG-050": StockLine("HG-050", 3, bin="R9"), "BG-040": StockLine("BG-040", 2, bin="R7")})


def two_branches(ledger: Ledger) -> Ledger:
    """Name both branches of a shop whose main branch has the shelf of `SHOP`."""
    ledger.load(SHOP, ANA)
    ledger.name_branch(NamedBranch(MAIN), ANA)
    ledger.name_branch(NamedBranch(OTHER, {MAIN: 2}), ANA)
    ledger.load(AT_OTHER, ANA, at=OTHER)
    return ledger


def on_hand(ledger: Ledger, part: str) -> dict[str, int]:
    """Return how many pieces of a part lie at each branch where any do."""
    return {
        branch: sums.on_hand for (number, branch), sums in ledger.places().items() if number == part and sums.on_hand
    }


def held(ledger: Ledger, part: str) -> dict[str, int]:
    return {branch: sums.held for (number, branch), sums in ledger.places().items() if number == part and sums.held}


def hold_from_other(ledger: Ledger, engine: str, due: date | None = None) -> None:
    """Hold two base gaskets of the main branch, and two head gaskets of the other, for an engine of the main branch."""
    use = (Use("BG-040", "shelf", 2), Use("HG-050", f"branch {OTHER}", 2))
    ledger.hold_all(asked(twin(engine, due)), choice_of(fitted(engine, THIN, HEAD), use=use), ANA)


def send(ledger: Ledger, part: str, pieces: int, origin: str = OTHER, destination: str = MAIN) -> Sent:
    return ledger.transfer(Wanted({part: pieces}, origin, destination, TODAY), ANA)


def send_all(ledger: Ledger, origin: str = OTHER, destination: str = MAIN) -> Sent:
    return ledger.transfer(Wanted(None, origin, destination, TODAY), ANA)
